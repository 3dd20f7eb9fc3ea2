#!/bin/sh
# endfeel plan: every way of getting the call wrong has its exit status and says what to do, and
# leaves nothing half done.
cd "$TOP" || exit 3
d=$(mktemp -d "$WORK/plan.XXXX")
expect() { # NAME STATUS WORDS -- ARGUMENTS
    name=$1 status=$2 words=$3
    shift 4
    "$ENDFEEL" plan "$@" >"$d/out" 2>"$d/err" </dev/null
    got=$?
    if [ "$got" != "$status" ]; then
        echo "FAILED plan-$name: exit status $got instead of $status: $(head -3 "$d/err")"
    elif [ -n "$words" ] && ! grep -qF -e "$words" "$d/out" "$d/err"; then
        echo "FAILED plan-$name: does not say '$words' but: $(head -3 "$d/err")"
    else
        echo "ok plan-$name"
    fi
}
expect nothing-named 2 'name a motion, a joint, a region or a set' -- -o "$d/o"
expect unknown-motion 2 'no motion, joint, region or set of this name' -- -o "$d/o" kneecap
expect unknown-near 2 'knee' -- -o "$d/o" kne
expect tests-unknown 2 "did you mean 'AROM'" -- -o "$d/o" --tests AROMS knee
expect tests-none 2 'name at least one' -- -o "$d/o" --tests , knee
expect side-unknown 2 "did you mean 'right'" -- -o "$d/o" --side rihgt knee
expect involved-both 2 "'both' is not known" -- -o "$d/o" --involved both knee
expect positions-unknown 2 "did you mean 'supine'" -- -o "$d/o" --positions supin knee
expect tries-four 2 'is not 1, 2 or 3' -- -o "$d/o" --tries 4 knee
expect tries-zero 2 'is not 1, 2 or 3' -- -o "$d/o" --tries 0 knee
expect tries-word 2 'is not 1, 2 or 3' -- -o "$d/o" --tries two knee
expect date-wrong 2 'is not a date' -- -o "$d/o" --on 2031-02-30 knee
expect long-patient 2 'longer than 200 bytes' -- -o "$d/o" --patient "$(printf '%0201d' 1)" knee
expect long-name 2 'longer than 200 bytes' -- -o "$d/o" --measured-by "$(printf '%0201d' 1)" knee
expect caution-unknown 2 'osteoporosis' -- -o "$d/o" --caution osteoprosis knee
expect caution-empty 2 'no caution of this name' -- -o "$d/o" --caution '' knee
expect caution-joint-unknown 2 'nearest joint: knee' -- -o "$d/o" --caution osteoporosis:kne knee
expect caution-two-sides 2 'a joint or a side that is not known' -- -o "$d/o" --caution osteoporosis:left:right knee
expect caution-two-joints 2 'a joint or a side that is not known' -- -o "$d/o" --caution osteoporosis:knee:hip knee
expect provokes-unknown 2 'no motion, joint, region or set' -- -o "$d/o" --provokes kneecap knee
expect provokes-not-asked 2 'not among those to examine' -- -o "$d/o" --provokes 'hip flexion' knee
expect nothing-of-that-kind 2 'nothing to examine' -- -o "$d/o" --tests AROM 'scapula elevation'
expect option-of-another 2 "not an option of 'plan'" -- -o "$d/o" --map x knee
expect templates-missing 2 'cannot open' -- --templates "$d/none" -o "$d/o" knee
mkdir "$d/t"
cp -r templates/parts "$d/t/"
cp templates/agree.xml "$d/t/plan.xml"
expect template-of-another-root 2 "'plan' here, not 'agree'" -- --templates "$d/t" -o "$d/o" knee
expect templates-without-checklist 2 'no template' -- --templates "$d/t" --checklist -o "$d/o" knee
expect clinic-missing 2 'cannot open' -- --clinic "$d/none.xml" -o "$d/o" knee
expect reference-missing 2 '' -- --reference "$d/none" -o "$d/o" knee
[ ! -e "$d/o" ] && echo "ok plan-nothing-half-done" || echo "FAILED plan-nothing-half-done: $(ls "$d/o")"
: >"$d/plain"
expect out-is-a-file 3 '' -- -o "$d/plain/x" knee
expect patient-no-glyph 1 'could not be set and was not written' -- --patient "$(printf '\360\223\200\200')" -o "$d/glyph" knee
[ ! -e "$d/glyph/plan.pdf" ] && [ ! -e "$d/glyph/plan.csv" ] && echo "ok plan-refused-whole" || echo "FAILED plan-refused-whole"

# What is taken.
expect two-words 0 '4 tests in 1 position' -- -o "$d/o" --tests AROM,PROM knee flexion
expect spelling 0 'tests in' -- -o "$d/o" 'Shoulder ER'
expect quiet 0 '' -- -q -o "$d/o" knee/flexion
[ ! -s "$d/err" ] && echo "ok plan-quiet-says-nothing" || echo "FAILED plan-quiet-says-nothing"
expect sides 0 '2 tests in' -- -o "$d/o" --side left --tests arom,prom knee flexion
expect left-out 0 'left out' -- -o "$d/o" --positions sitting knee
expect all-left-out 0 '0 tests in 0 positions' -- -o "$d/o" --caution suspected-dvt knee
