#!/bin/sh
# make lint: the rules of DEVELOPERS.md that a script can hold. Prints each breach; fails on any.
set -u
bad=0
breach() {
    echo "lint: $*"
    bad=1
}

# Layers: a folder includes only what the Makefile's LAYER_ lines allow, and no private header of
# another folder.
for folder in $(sed -n 's/^FOLDERS *= *//p' Makefile); do
    allowed=$(make -s --no-print-directory print-layer FOLDER="$folder")
    for used in $(cat src/"$folder"/*.[ch] 2>/dev/null | sed -n 's/^#include "\([a-z]*\)\/.*/\1/p' | sort -u); do
        case " $folder $allowed base " in
        *" $used "*) ;;
        *) breach "src/$folder includes $used/, which the layer map does not allow" ;;
        esac
    done
done
for f in src/*/*.[ch]; do
    own=$(basename "$(dirname "$f")")
    for private in $(sed -n 's/^#include "\([a-z]*\/[a-z_]*_int\.h\)".*/\1/p' "$f"); do
        [ "${private%%/*}" = "$own" ] || breach "$f includes the private $private"
    done
done

# A library is known in one place.
one_place() { # HEADER FOLDER-PATTERN
    for f in $(grep -l "#include <$1" src/*/*.[ch]); do
        case $f in $2) ;; *) breach "$f includes $1; only $2 may" ;; esac
    done
}
one_place csv.h 'src/import/*'
one_place hpdf 'src/pdf/*'
one_place hb 'src/font/*'
one_place libxml/parser.h 'src/base/xml.c'

# Sizes.
for f in src/*/*.[ch] tests/*/*.c; do
    case $f in src/base/diag_list.h) continue ;; esac # a table: one entry a line
    n=$(wc -l <"$f")
    [ "$n" -le 800 ] || breach "$f has $n lines (800 at most)"
    awk -v f="$f" 'length($0) > 100 { printf "lint: %s:%d: %d columns (100 at most)\n", f, NR, length($0); bad = 1 }
        END { exit bad }' "$f" || bad=1
done
ctags -x --c-kinds=f --fields=+ne --_xformat='%N %n %{end} %F' src/*/*.c |
    awk '{ n = $3 - $2 + 1; if (n > 100) { printf "lint: %s:%d: %s has %d lines (100 at most)\n", $4, $2, $1, n; bad = 1 } }
        END { exit bad }' || bad=1

# Words that do not belong in a finished program, and functions that are not used here.
grep -nE '\b(TODO|FIXME|XXX)\b' src/*/* templates/*.xml templates/parts/*.xml Makefile && bad=1
grep -nE '\b(strcpy|strcat|sprintf|gets|atoi|atof|strtok|setlocale)\(' src/*/*.c && bad=1

# Every option and every diagnostic stands in the manual.
if [ -f docs/man/endfeel.1 ]; then
    sed -n 's/^    {"\([a-z-]*\)", [0-9'"'"'].*/\1/p' src/cli/options.c | while read -r option; do
        grep -q "Fl Fl $option" docs/man/endfeel.1 || echo "lint: --$option is not in the manual"
    done >"${TMPDIR:-/tmp}/lint.$$"
    sed -n 's/^DIAG([A-Z_0-9]*, "\([a-z0-9-]*\)".*/\1/p' src/base/diag_list.h | while read -r id; do
        grep -q "It Li $id\$" docs/man/endfeel.1 || echo "lint: $id is not in the manual; run make manual"
    done >>"${TMPDIR:-/tmp}/lint.$$"
    [ ! -s "${TMPDIR:-/tmp}/lint.$$" ] || { cat "${TMPDIR:-/tmp}/lint.$$"; bad=1; }
    rm -f "${TMPDIR:-/tmp}/lint.$$"
    for page in docs/man/*; do
        mandoc -T lint -W warning "$page" || bad=1
    done
fi

# Figures of the trade stand in src/reference/, not in code.
"${PYTHON:-python3}" tests/lint/numbers.py --self-test || bad=1
# shellcheck disable=SC2046
"${PYTHON:-python3}" tests/lint/numbers.py tests/lint/numbers.allow src/rules/*.c src/plan/*.c \
    src/model/*.c src/agree/*.c src/findings/*.c src/batch/handout.c $(printf 'src/import/%s.c ' aims cell_angle_shape cell_grade cell_pain cell_split \
        facts fields force join measure order patient) || bad=1

# Static analysis.
cppcheck --quiet --error-exitcode=1 --std=c11 --enable=warning,portability --inline-suppr \
    --suppress=missingIncludeSystem -Isrc -DENDFEEL_VERSION='"x"' -DENDFEEL_DATADIR='"x"' src || bad=1

[ $bad = 0 ] && echo "lint: clean"
exit $bad
