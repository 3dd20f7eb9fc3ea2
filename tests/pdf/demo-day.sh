#!/bin/sh
# The demo day as a reader sees it: every PDF passes qpdf, has its fonts inside with Unicode maps,
# gives its text back, and the day index names every chart.
cd "$TOP" || exit 3
"$ENDFEEL" report -q --clinic fixtures/clinic.xml --today 2030-01-01 -o "$WORK/day" fixtures/day 2>"$WORK/err"
status=$?
[ $status -le 1 ] && echo "ok report-runs" || echo "FAILED report-runs: status $status $(tail -3 "$WORK/err")"
for pdf in "$WORK"/day/*/*.pdf "$WORK/day/day-index.pdf"; do
    name=$(basename "$pdf" .pdf)
    qpdf --check "$pdf" >"$WORK/qpdf" 2>&1 && echo "ok qpdf-$name" ||
        echo "FAILED qpdf-$name: $(tail -3 "$WORK/qpdf")"
    bad=$(pdffonts "$pdf" 2>&1 | awk 'NR > 2 && ($(NF - 4) != "yes" || $(NF - 2) != "yes")')
    [ -z "$bad" ] && echo "ok fonts-$name" || echo "FAILED fonts-$name: $bad"
    pdftotext -layout "$pdf" "$WORK/$name.txt" 2>"$WORK/warn"
    [ -s "$WORK/warn" ] && echo "FAILED text-$name: $(head -2 "$WORK/warn")" || echo "ok text-$name"
    case $name in
    day-index) ;;
    *)
        case $name in
        *_chart) title='Summary of measurements (attachment to the evaluation)' ;;
        *_progress) title='Progress report: measurements (attachment to the progress note)' ;;
        *_discharge) title='Discharge summary: measurements (attachment to the discharge note)' ;;
        *_letter) title='Re: ' ;;
        *) title='a title for this kind' ;;
        esac
        said=$(tr -s ' \n' ' ' <"$WORK/$name.txt")
        for words in "$title" 'licensed clinician'; do
            case $said in
            *"$words"*) echo "ok says-$name" ;;
            *) echo "FAILED says-$name: '$words' is missing" ;;
            esac
        done
        patient=${name%%_*}
        grep -q "$patient" "$WORK/day-index.txt" 2>/dev/null || pdftotext -layout "$WORK/day/day-index.pdf" "$WORK/day-index.txt"
        grep -q "$patient" "$WORK/day-index.txt" && echo "ok indexed-$name" ||
            echo "FAILED indexed-$name"
        # Two faces cut and tagged: about 20 kB, and at most 15 kB a page of tables and arcs.
        size=$(wc -c <"$pdf")
        pages=$(tr -dc '\f' <"$WORK/$name.txt" | wc -c)
        [ "$size" -le $((20000 + 15000 * pages)) ] && echo "ok size-$name" ||
            echo "FAILED size-$name: $size bytes on $pages pages"
        ;;
    esac
done
# The manifest's digests are those of the files.
tail -n +2 "$WORK/day/manifest.csv" | tr -d '\r' | while IFS=, read -r file kind patient date pages bytes sha rest; do
    [ "$(sha256sum <"$WORK/day/$file" | cut -c1-64)" = "$sha" ] && echo "ok digest-$patient" ||
        echo "FAILED digest-$file ($kind $date $pages $bytes $rest)"
done
