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
DIAG(DIAG_FONT_FILE, "font-file", DIAG_ERROR, OUTCOME_NONE, "font file not found", "install the packages fonts-open-sans and fonts-dejavu-core")
DIAG(DIAG_FONT_UNFIT, "font-unfit", DIAG_ERROR, OUTCOME_NONE, "font file cannot be used", "use the files of fonts-open-sans and fonts-dejavu-core")
DIAG(DIAG_FONT_SUBSET, "font-subset", DIAG_SYSTEM, OUTCOME_NONE, "cannot cut the font", "")
DIAG(DIAG_FONT_GLYPH, "font-glyph", DIAG_ERROR, OUTCOME_HELD_BACK, "no font holds this character", "write it another way; scripts from the right and joined scripts cannot be set")
DIAG(DIAG_PDF_LIBRARY, "pdf-library", DIAG_SYSTEM, OUTCOME_NONE, "the PDF library cannot be used", "install libharu from 2.3.0 and before 2.5")
DIAG(DIAG_PDF_REFUSED, "pdf-refused", DIAG_SYSTEM, OUTCOME_NONE, "the PDF library refused the document", "")
DIAG(DIAG_PDF_RANGE, "pdf-range", DIAG_ERROR, OUTCOME_HELD_BACK, "a coordinate is not on any page", "")
DIAG(DIAG_PDF_TAGS, "pdf-tags", DIAG_ERROR, OUTCOME_HELD_BACK, "tags are not balanced on a page", "")
DIAG(DIAG_PDF_LIMIT, "pdf-limit", DIAG_ERROR, OUTCOME_HELD_BACK, "the document is larger than the limit", "split it")
DIAG(DIAG_PDF_IMAGE, "pdf-image", DIAG_ERROR, OUTCOME_HELD_BACK, "images cannot be set yet", "leave the image out of the template")
/* -- batch ----------------------------------------------------------------------------------- */
DIAG(DIAG_INPUT_TWICE, "input-twice", DIAG_WARNING, OUTCOME_NONE, "file was given twice", "it is read once")
DIAG(DIAG_INPUT_NO_CSV, "input-no-csv", DIAG_ERROR, OUTCOME_NONE, "no .csv file in this folder", "name the files, or the folder that holds them")
DIAG(DIAG_NO_INPUT, "no-input", DIAG_ERROR, OUTCOME_NONE, "no input could be read", "")
DIAG(DIAG_NO_PATIENT_ID, "no-patient-id", DIAG_ERROR, OUTCOME_HELD_BACK, "row without a patient id", "fill in patient_id")
DIAG(DIAG_NO_VISIT_SELECTED, "no-visit-selected", DIAG_WARNING, OUTCOME_NONE, "no visit matches the selection", "see --on, --latest, --every-visit and --patient")
DIAG(DIAG_KIND_UNKNOWN, "kind-unknown", DIAG_ERROR, OUTCOME_NONE, "no template for this kind of report", "")
DIAG(DIAG_PATIENT_HELD, "patient-held", DIAG_ERROR, OUTCOME_NONE, "no report for a patient who is held back", "see the entries of this file in the list of exceptions")
DIAG(DIAG_DOCUMENT_REFUSED, "document-refused", DIAG_ERROR, OUTCOME_NONE, "a report could not be set and was not written", "the line above names the template's line and the data")
DIAG(DIAG_MODEL_BROKEN, "model-broken", DIAG_SYSTEM, OUTCOME_NONE, "internal check failed; no report for this patient", "please report this with the file")
DIAG(DIAG_WORKER_LOST, "worker-lost", DIAG_SYSTEM, OUTCOME_NONE, "a worker ended unexpectedly; the patient in hand has no report", "run again; the rest was written")
DIAG(DIAG_WORKER_START, "worker-start", DIAG_SYSTEM, OUTCOME_NONE, "cannot start a worker", "")
DIAG(DIAG_NO_DATA_FOLDER, "no-data-folder", DIAG_SYSTEM, OUTCOME_NONE, "the program's own folder of templates or fonts is missing", "install again, or name it with --templates")
DIAG(DIAG_MANIFEST, "manifest", DIAG_WARNING, OUTCOME_NONE, "the manifest in the output folder is not understood and is replaced", "")
