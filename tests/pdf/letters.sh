#!/bin/sh
# Letters at their worst: a long name, address, diagnosis, procedure, question and plan; every motion
# of a shoulder on both sides over three visits, with flags, limits, goals and a student. One page
# each, no word over another; what cannot be one page is refused and listed, and nothing else is.
cd "$TOP" || exit 3
cat >"$WORK/worst.py" <<'PYTHON'
import csv, sys
name = "Maximiliana-Theodora Featherstonehaugh-Cholmondeley van den Bergh zu Quillhaven"
address = ("Department of Orthopaedic Surgery and Rehabilitation Medicine, Island Hospital of "
           "Quillhaven and the Outer Skerries, North Wing, Third Floor, 1024 Harbour Terrace")
head = ("patient_id name birth_date sex affected_side diagnosis procedure surgery_date referrer "
        "referrer_address referral_reason visit_date visit_kind measured_by role supervisor plan "
        "question_to_referrer weight_bearing pain_rest pain_move joint motion side test value pain "
        "goal_id goal_value goal_due goal_activity limit_kind limit_value limit_until").split()
motions = [("flexion", 90), ("extension", 20), ("abduction", 70), ("internal-rotation", 30),
           ("external-rotation", 25), ("horizontal-adduction", 80)]
limits = int(sys.argv[2])
with open(sys.argv[1], "w", newline="") as out:
    rows = csv.DictWriter(out, head)
    rows.writeheader()
    for v, date in enumerate(("2025-01-06", "2025-02-10", "2025-03-14")):
        base = dict(patient_id="W-1", name=name, birth_date="1950-12-31", sex="female",
                    affected_side="left", visit_date=date, visit_kind="progress",
                    procedure="Arthroscopic repair of supraspinatus, infraspinatus and subscapularis",
                    surgery_date="2024-12-30", measured_by="Wilhelmina Featherington-Smythe",
                    role="student", supervisor="Bartholomew Throckmorton-Winterbourne",
                    referrer="Professor Dr. Archibald Montgomery-Fotheringay", referrer_address=address,
                    referral_reason="Regain the motion and the strength of both shoulders",
                    plan="Twice a week for six weeks, then once a week; home exercise each day; see again "
                         "in a month to decide how to go on",
                    question_to_referrer="May strengthening begin at twelve weeks, and may the limit on "
                                         "turning outward be lifted?",
                    weight_bearing="no lifting over two kilograms with either arm",
                    pain_rest="3-4/10", pain_move="7-8/10")
        for m, (motion, value) in enumerate(motions):
            for side in ("left", "right"):
                for test in ("AROM", "PROM", "MMT"):
                    row = dict(base, joint="shoulder", motion=motion, side=side, test=test, pain="5")
                    row["value"] = "4-" if test == "MMT" else str(value + 11 * v + 4 * (test == "PROM"))
                    rows.writerow(row)
            if v == 0:
                rows.writerow(dict(base, joint="shoulder", motion=motion, side="left", test="AROM",
                                   goal_id=f"G{m}", goal_value=str(value + 50), goal_due="2025-05-01",
                                   goal_activity="reach the top shelf of the galley without help"))
            if v == 0 and m < limits:
                rows.writerow(dict(base, joint="shoulder", motion=motion, side="left",
                                   limit_kind="range", limit_value=str(value + 20),
                                   limit_until="2025-04-01"))
PYTHON
set_all() { # LIMITS: leaves the numbers of letters set and listed
    "$PYTHON" "$WORK/worst.py" "$WORK/worst.csv" "$1"
    rm -rf "$WORK/worst"
    "$ENDFEEL" report -q --every-visit -k letter,patient --clinic fixtures/clinic.xml \
        --today 2030-01-01 -o "$WORK/worst" "$WORK/worst.csv" 2>"$WORK/err"
    set=$(find "$WORK/worst" -name '*_letter.pdf' | wc -l)
    listed=$(grep -c 'document-refused,"letter of W-1.*more pages' "$WORK/worst/exceptions.csv")
}
# Six limits in force, at last each of them passed: none may be left out, so there is no letter then.
set_all 6
if [ $((set + listed)) = 3 ] && [ "$listed" -ge 1 ] && [ "$(find "$WORK/worst" -name '*_patient.pdf' | wc -l)" = 3 ]
then echo "ok too-much-for-a-page-is-listed"
else echo "FAILED too-much-for-a-page: $set set, $listed listed: $(head -2 "$WORK/err")"; fi
set_all 2
if [ "$set" = 3 ] && [ "$listed" = 0 ]; then
    echo "ok worst-letters-are-set"
else
    echo "FAILED worst-letters: $set set, $listed listed: $(head -2 "$WORK/err")"
fi
find "$WORK/worst" -name '*.pdf' | sort >"$WORK/list"
# The names hold no spaces.
# shellcheck disable=SC2046
"$PYTHON" tests/pdf/boxes.py $(cat "$WORK/list")
while read -r pdf; do
    case $pdf in
    *_letter.pdf)
        text=$(pdftotext "$pdf" - | tr '\n' ' ')
        pages=$(printf %s "$text" | tr -dc '\f' | wc -c)
        [ "$pages" = 1 ] && echo "ok one-page" || echo "FAILED one-page: $pages in $pdf"
        # What matters most is there however long the rest.
        for words in 'Asked of you: May strengthening' 'Restrictions on file' 'NOT VALID UNTIL' \
            'Wilhelmina Featherington-Smythe — signature' 'Throckmorton-Winterbourne — supervisor'; do
            case $text in
            *"$words"*) echo "ok says" ;;
            *) echo "FAILED says: '$words' is missing" ;;
            esac
        done
        ;;
    esac
done <"$WORK/list"
rm -rf "$WORK/worst"
