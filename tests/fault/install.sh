#!/bin/sh
# Installed below a prefix, the program finds its templates and fonts there, without the source
# tree; uninstall leaves nothing.
cd "$TOP" || exit 3
stage="$WORK/stage"
env -u MAKEFLAGS -u MFLAGS -u MAKELEVEL make -s BUILD="$(basename "$BUILD")" DESTDIR="$stage" PREFIX=/usr install >"$WORK/log" 2>&1 ||
    echo "FAILED install: $(tail -3 "$WORK/log")"
cp -r fixtures/day "$WORK/day-in"
(cd "$WORK" && "$stage/usr/bin/endfeel" report -q --today 2025-03-14 -o installed day-in 2>"$WORK/err")
n=$(find "$WORK/installed" -name 'S-*.pdf' 2>/dev/null | wc -l)
[ "$n" = 23 ] && echo "ok installed-program-runs" ||
    echo "FAILED installed-program-runs: $n reports; $(head -3 "$WORK/err")"
ls -L "$stage"/usr/share/endfeel/fonts/*.ttf >/dev/null 2>&1 &&
    [ -z "$(find "$stage" -type l)" ] && echo "ok fonts-copied" || echo "FAILED fonts-copied"
env -u MAKEFLAGS -u MFLAGS -u MAKELEVEL make -s DESTDIR="$stage" PREFIX=/usr uninstall >"$WORK/log" 2>&1
left=$(find "$stage" -type f)
[ -z "$left" ] && echo "ok uninstall-leaves-nothing" || echo "FAILED uninstall: $left"
rm -rf "$stage" "$WORK/installed" "$WORK/day-in"
