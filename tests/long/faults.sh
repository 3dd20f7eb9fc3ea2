#!/bin/sh
# The fault tests of every run, at every place and many moments.
cd "$TOP" || exit 3
FAULT_STEP=1 sh tests/fault/calls.sh
KILL_CYCLES=200 sh tests/fault/kill.sh
