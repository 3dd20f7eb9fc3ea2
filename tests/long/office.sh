#!/bin/sh
# Findings through LibreOffice and back, read again as input, where it is installed.
cd "$TOP" || exit 3
if command -v soffice >/dev/null; then
    "$PYTHON" tests/external/roundtrip.py "$ENDFEEL" "$WORK" office
else
    echo "skipped office-roundtrip: LibreOffice is not installed"
fi
