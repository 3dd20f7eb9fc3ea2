#!/bin/sh
# Prints the manual's list of codes from the tables of the program: every diagnostic with its reason
# and what to do, then every flag and note of the rules with its meaning. `make manual` puts it
# between the markers of endfeel.1.
set -eu
sed -n 's/^DIAG([A-Z_0-9]*, "\([^"]*\)", DIAG_\([A-Z]*\), OUTCOME_[A-Z_]*, "\(.*\)", "\(.*\)")$/\1\t\2\t\3\t\4/p' \
    src/base/diag_list.h | sort | tr -d '\\' |
    awk -F '\t' '{ printf ".It Li %s\n%s (%s).\n", $1, toupper(substr($3, 1, 1)) substr($3, 2), tolower($2)
        if ($4 != "") printf "%s.\n", toupper(substr($4, 1, 1)) substr($4, 2) }' |
    sed 's/?\( ([a-z]*)\)\.$/?\1./'
echo '.El'
echo '.Pp'
echo 'Flags and notes on findings:'
echo '.Bl -tag -width Ds'
tr '\n' ' ' <src/rules/rules.c | sed 's/"  *"//g' |
    grep -oE '\{"[a-z0-9-]+", FLAG_[A-Z]+, *"[^"]*"\}' |
    sed 's/^{"\([^"]*\)", FLAG_\([A-Z]*\), *"\([^"]*\)"}$/\1\t\2\t\3/' | sort |
    awk -F '\t' '{ printf ".It Li %s\n%s (%s).\n", $1, toupper(substr($3, 1, 1)) substr($3, 2), tolower($2) }'
