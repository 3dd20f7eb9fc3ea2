/*
 * The one table of diagnostics: DIAG(code, "public-id", level, outcome, "reason", "advice").
 * Ordered by where they arise. `reason` says what is wrong in a few words, `advice` what to type
 * or do instead. Neither holds personal data. Every id stands in DIAGNOSTICS of the manual.
 * No include guard: read once per use with a fresh DIAG macro.
 */
/* -- system ------------------------------------------------------------------------------- */
DIAG(DIAG_FILE_OPEN, "file-open", DIAG_SYSTEM, OUTCOME_NONE, "cannot open", "check the path and its permissions")
DIAG(DIAG_FILE_READ, "file-read", DIAG_SYSTEM, OUTCOME_NONE, "cannot read", "")
DIAG(DIAG_FILE_WRITE, "file-write", DIAG_SYSTEM, OUTCOME_NONE, "cannot write", "check free space and permissions; nothing half-written was left")
DIAG(DIAG_FILE_TOO_LARGE, "file-too-large", DIAG_ERROR, OUTCOME_NONE, "file is larger than the limit", "")
DIAG(DIAG_TEMP_FILE, "temp-file", DIAG_SYSTEM, OUTCOME_NONE, "cannot use a temporary file", "set TMPDIR to a folder with free space")
/* -- XML: templates, maps, clinic and reference files -------------------------------------- */
DIAG(DIAG_XML_SYNTAX, "xml-syntax", DIAG_ERROR, OUTCOME_NONE, "not well-formed XML", "")
DIAG(DIAG_XML_UNSAFE, "xml-unsafe", DIAG_ERROR, OUTCOME_NONE, "document type declarations are not accepted", "remove the DOCTYPE line")
DIAG(DIAG_XML_ELEMENT, "xml-element", DIAG_ERROR, OUTCOME_NONE, "unexpected element", "")
DIAG(DIAG_XML_ATTRIBUTE, "xml-attribute", DIAG_ERROR, OUTCOME_NONE, "unexpected or missing attribute", "")
DIAG(DIAG_XML_VALUE, "xml-value", DIAG_ERROR, OUTCOME_NONE, "value not understood", "")
/* -- reference ------------------------------------------------------------------------------ */
/* -- import: files and rows ------------------------------------------------------------------ */
/* -- import: cells --------------------------------------------------------------------------- */
/* -- import: across rows --------------------------------------------------------------------- */
/* -- layout and templates -------------------------------------------------------------------- */
/* -- fonts and pdf --------------------------------------------------------------------------- */
/* -- batch ----------------------------------------------------------------------------------- */
