#!/bin/sh
# The command line: every way of getting it wrong has its exit status and says what to do.
cd "$TOP" || exit 3
expect() { # NAME STATUS WORDS -- ARGUMENTS
    name=$1 status=$2 words=$3
    shift 4
    "$ENDFEEL" "$@" >"$WORK/out" 2>"$WORK/err" </dev/null
    got=$?
    if [ "$got" != "$status" ]; then
        echo "FAILED $name: exit status $got instead of $status"
    elif [ -n "$words" ] && ! grep -qF -e "$words" "$WORK/out" "$WORK/err"; then
        echo "FAILED $name: does not say '$words' but: $(head -3 "$WORK/err")"
    else
        echo "ok $name"
    fi
}
one="$WORK/one.csv"
printf 'patient_id,visit_date,joint,motion,side,test,value\nP1,2025-03-14,knee,flexion,right,AROM,120\n' >"$one"

expect no-arguments 2 'usage:' --
expect help 0 'Exit status' -- --help
expect help-of-a-command 0 '--every-visit' -- report --help
expect version 0 'General Public License' -- --version
expect unknown-command 2 "did you mean 'report'" -- reprot x.csv
expect unknown-option 2 'did you mean --history' -- report --histroy x "$one"
expect shortened-option 2 'no option --hist' -- report --hist x "$one"
expect unknown-letter 2 'no option -z' -- report -z "$one"
expect missing-value 2 'needs a value' -- report "$one" --out
expect option-of-another-command 2 "not an option of 'check'" -- check --format xml "$one"
expect two-selections 2 'excludes' -- report --latest --every-visit "$one"
expect bad-date 2 'not a date' -- report --on 2025-02-30 "$one"
expect bad-jobs 2 'whole number' -- report -j 0 "$one"
expect bad-jobs-text 2 'whole number' -- report --jobs=two "$one"
expect bad-format 2 "did you mean 'xml'" -- findings --format xlm "$one"
expect bad-dump 2 "did you mean 'model'" -- check --dump modle "$one"
expect no-input-named 2 'name at least one' -- report
expect kind-twice 2 'once only' -- report -k chart,chart "$one"
expect unknown-kind 2 "did you mean 'chart'" -- report -k chrat -o "$WORK/o" "$one"
expect kind-with-slash 2 'no template' -- report -k ../chart -o "$WORK/o" "$one"
expect no-such-file 1 'cannot open' -- check "$WORK/none.csv"
expect empty-folder 1 'no .csv file' -- check "$(mktemp -d "$WORK/e.XXXX")"
expect no-such-reference 2 '' -- check --reference "$WORK/none" "$one"
expect no-such-templates 2 'cannot open' -- report --templates "$WORK/none" -o "$WORK/o" "$one"
expect no-such-clinic 2 '' -- report --clinic "$WORK/none.xml" -o "$WORK/o" "$one"
expect no-visit-on-that-date 0 'no visit matches' -- report --on 2020-01-01 -o "$WORK/o" "$one"
expect unwritable-folder 3 'cannot write' -- report -o /proc/none "$one"
expect option-with-equals 0 '' -- findings --format=xml "$one"
expect double-dash 0 '' -- check -- "$one"

# Standard input, and standard output on a full device.
if "$ENDFEEL" findings - <"$one" 2>/dev/null | grep -q '^P1,2025-03-14,knee,flexion,right'; then
    echo "ok standard-input"
else
    echo "FAILED standard-input"
fi
if [ -c /dev/full ]; then
    "$ENDFEEL" findings "$one" >/dev/full 2>"$WORK/err"
    [ $? = 3 ] && grep -q 'cannot write' "$WORK/err" && echo "ok full-device" ||
        echo "FAILED full-device"
fi

# SOURCE_DATE_EPOCH decides what is future: the visit is held back a day before it.
SOURCE_DATE_EPOCH=1741824000 "$ENDFEEL" check "$one" >"$WORK/out" 2>&1
[ $? = 1 ] && grep -q 'future' "$WORK/out" && echo "ok future-by-epoch" || echo "FAILED future-by-epoch"
SOURCE_DATE_EPOCH=soon "$ENDFEEL" check "$one" >"$WORK/out" 2>&1
[ $? = 2 ] && echo "ok bad-epoch" || echo "FAILED bad-epoch"
