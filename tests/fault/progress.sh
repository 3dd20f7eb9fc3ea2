#!/bin/sh
# The line of progress: on a terminal or where it is asked for, never with -q; it has a rate and the
# time left and makes room for the last lines. Ctrl-C at that terminal stops cleanly.
cd "$TOP" || exit 3
w="$WORK/progress"
mkdir -p "$w"
"$PYTHON" tests/external/generate.py 300 7 >"$w/in.csv"
"$PYTHON" - "$ENDFEEL" "$w" <<'EOF2'
import os, pty, re, signal, subprocess, sys
program, w = sys.argv[1:]
args = [program, "report", "-k", "chart", "--every-visit", "--today", "2030-01-01", "-j1"]
LINE = re.compile(r"(\d+) patients, (\d+)% of the rows, (\d+) a second, about (\d+) s left   $")

def piped(out, *more):
    return subprocess.run(args + ["-o", w + "/" + out, *more, w + "/in.csv"],
                          stdin=subprocess.DEVNULL, capture_output=True)

def on_terminal(out, *more, stop=False):
    """What the terminal shows, and how the run ended; presses Ctrl-C after the first line."""
    pid, fd = pty.fork()
    if pid == 0:
        os.execv(program, args + ["-o", w + "/" + out, *more, w + "/in.csv"])
    shown = b""
    while True:
        try:
            piece = os.read(fd, 4096)
        except OSError:
            piece = b""
        if not piece:
            break
        shown += piece
        if stop and b"s left" in shown:
            os.write(fd, b"\x03")
            stop = False
    return shown.decode(), os.waitpid(pid, 0)[1]

def say(name, good, why=""):
    print("ok progress-" + name if good else "FAILED progress-%s: %s" % (name, str(why)[:600]))

def lines_of(text):
    """The figures of each state of the line, and what follows the last."""
    head, clear, rest = text.rpartition("\r\x1b[K")
    states = [LINE.match(s) for s in head.split("\r") if s]
    return states, rest if clear else None

r = piped("always", "--progress", "always")
states, rest = lines_of(r.stderr.decode())
say("always", r.returncode == 0 or r.returncode == 1, r)
say("each-line-whole", len(states) >= 2 and all(states), r.stderr)
if states and all(states):
    n = [tuple(map(int, s.groups())) for s in states]
    say("goes-up", all(a[0] < b[0] and a[1] <= b[1] for a, b in zip(n, n[1:])), n)
    say("figures-agree", all(0 < p < 300 and share <= 100 and rate > 0 and left < 600
                             for p, share, rate, left in n), n)
say("last-lines", rest is not None and " rows in = " in rest and " new, " in rest and
    "left" not in rest, r.stderr)
say("none-when-piped", "left" not in piped("auto").stderr.decode())
say("none-with-q", piped("quiet", "-q", "--progress", "always").stderr == b"")
say("never", "left" not in on_terminal("never", "--progress", "never")[0])
shown, status = on_terminal("tty")
say("on-a-terminal", "s left" in shown, shown)

shown, status = on_terminal("stopped", stop=True)
m = re.search(r"(\d+) rows in = (\d+) used \+ (\d+) duplicates \+ (\d+) held back \+ (\d+) not reached", shown)
say("ctrl-c-sums", m and int(m[1]) == sum(map(int, m.groups()[1:])), shown[-400:])
say("ctrl-c-says-so", "stopped before the end; run again" in shown, shown[-400:])
say("ctrl-c-status", os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGINT, (status, shown))
files = [os.path.join(d, f) for d, _, fs in os.walk(w + "/stopped") for f in fs]
pdfs = [f for f in files if re.search(r"_(chart|letter|progress|discharge|patient)\.pdf$", f)]
torn = [f for f in files if f.endswith(".part")] + [
    f for f in pdfs if open(f, "rb").read() != open(f.replace("/stopped/", "/always/"), "rb").read()]
say("ctrl-c-nothing-torn", pdfs and not torn, torn or "no report was set")
every = [f for d, _, fs in os.walk(w + "/always") for f in fs if f.endswith(".pdf")]
say("ctrl-c-cut-short", len(pdfs) < len(every), "%d of %d" % (len(pdfs), len(every)))
r = piped("stopped")
m = re.search(r" (\d+) new, (\d+) unchanged, 0 amended", r.stderr.decode())
say("next-run-does-the-rest", m and int(m[1]) > 0 and int(m[2]) == len(pdfs), r.stderr)
say("next-run-same", subprocess.run(["diff", "-r", w + "/stopped", w + "/always"],
                                    capture_output=True).returncode == 0)
EOF2
rm -rf "$w"
