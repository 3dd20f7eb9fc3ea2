#!/bin/sh
# The fault tests of every run, at every place and many moments.
cd "$TOP" || exit 3
FAULT_STEP=1 FAULT_PLACES=300 sh tests/fault/calls.sh
KILL_CYCLES=500 sh tests/fault/kill.sh
LIMITS_LONG=1 sh tests/fault/limits.sh
