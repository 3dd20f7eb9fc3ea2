#!/bin/sh
# A batch in parts by a Slurm job array: sbatch --wait --array=0-3 slurm.sh OUT FILE...
# then: endfeel merge OUT. The array must begin at 0. ENDFEEL and ENDFEEL_OPTIONS as the environment
# has them. Make a merge job depend on the array by afterany, not afterok: a part that is requeued
# and succeeds leaves afterok waiting for ever, and merge checks for itself that all parts are there.
#SBATCH --job-name=endfeel --open-mode=append --cpus-per-task=1
set -u
out=$1
shift
# Options are words, split on purpose.
# shellcheck disable=SC2086
"${ENDFEEL:-endfeel}" report -q -j1 ${ENDFEEL_OPTIONS:-} \
    --shard "$SLURM_ARRAY_TASK_ID/$SLURM_ARRAY_TASK_COUNT" -o "$out" "$@"
status=$?
[ $status -gt 1 ] || status=0 # 1: something was held back; the lists say what
exit $status
