#!/bin/sh
# make check-scale: the recipes of docs/recipes, each run for real; what the parts merge to is byte
# for byte what one run writes.
set -u
build=$(cd "${BUILD:-build}" && pwd)
top=$(pwd)
export ENDFEEL="$build/endfeel" ENDFEEL_OPTIONS="--every-visit --today 2030-01-01 -k chart" LC_ALL=C TZ=UTC
w=$(mktemp -d "${TMPDIR:-/tmp}/endfeel-scale.XXXXXX") || exit 3
failed=0 pids=""
stop() {
    for pid in $pids $(cat "$w"/*.pid 2>/dev/null); do
        kill "$pid" 2>/dev/null
    done
    rm -rf "$w"
}
trap stop EXIT
trap 'exit 130' INT TERM
"${PYTHON:-python3}" tests/external/generate.py "${SCALE_VISITS:-200}" 7 >"$w/in.csv"
# shellcheck disable=SC2086
"$ENDFEEL" report -q -j2 $ENDFEEL_OPTIONS -o "$w/one" "$w/in.csv"
[ $? -le 1 ] || exit 3
same() { # NAME
    if diff -r "$w/one" "$w/$1" >"$w/diff" 2>&1; then
        echo "ok $1-equals-one-run"
    else
        failed=1
        echo "FAILED $1-equals-one-run: $(head -3 "$w/diff") $(tail -3 "$w/$1.log" 2>/dev/null)"
    fi
}
sh docs/recipes/parallel.sh 3 "$w/parallel" "$w/in.csv" >"$w/parallel.log" 2>&1
same parallel
make -j2 -k -f docs/recipes/shards.mk ENDFEEL="$ENDFEEL" OPTIONS="$ENDFEEL_OPTIONS" PARTS=3 \
    OUT="$w/make" FILES="$w/in.csv" >"$w/make.log" 2>&1
same make

# Slurm on this machine alone, which needs root.
slurm() {
    host=$(hostname -s) d="$w"
    mkdir -p "$d/ctld" "$d/d" /run/munge
    chown munge:munge /run/munge
    chmod 755 /run/munge
    if ! munge -n 2>/dev/null | unmunge >/dev/null 2>&1; then
        su -s /bin/sh munge -c '/usr/sbin/munged --num-threads=2' || return 1
        pids=$(cat /run/munge/munged.pid 2>/dev/null)
    fi
    cat >"$d/slurm.conf" <<CONF
ClusterName=test
SlurmctldHost=$host(127.0.0.1)
SlurmctldPort=17817
SlurmdPort=17818
SlurmUser=root
SlurmdUser=root
AuthType=auth/munge
StateSaveLocation=$d/ctld
SlurmdSpoolDir=$d/d
SlurmctldPidFile=$d/slurmctld.pid
SlurmdPidFile=$d/slurmd.pid
SlurmctldLogFile=$d/slurmctld.log
SlurmdLogFile=$d/slurmd.log
ProctrackType=proctrack/linuxproc
TaskPlugin=task/none
MpiDefault=none
SwitchType=switch/none
SelectType=select/cons_tres
SelectTypeParameters=CR_CPU
AccountingStorageType=accounting_storage/none
JobAcctGatherType=jobacct_gather/none
ReturnToService=2
RequeueExit=3
NodeName=$host NodeAddr=127.0.0.1 CPUs=2 RealMemory=1000 State=UNKNOWN
PartitionName=debug Nodes=ALL Default=YES MaxTime=INFINITE State=UP
CONF
    export SLURM_CONF="$d/slurm.conf"
    slurmctld -i && sleep 2 && slurmd && sleep 3
    timeout 240 sbatch --wait --array=0-2 --output="$d/slurm.log" "$top/docs/recipes/slurm.sh" \
        "$d/slurm" "$d/in.csv" >"$d/sbatch.log" 2>&1 || { cat "$d/sbatch.log" "$d/slurm.log"; return 1; }
    "$ENDFEEL" merge "$d/slurm" >>"$d/slurm.log" 2>&1
}
if [ "$(id -u)" = 0 ]; then
    slurm >"$w/slurm-start.log" 2>&1 || cat "$w/slurm-start.log"
    same slurm
else
    echo "skipped slurm: a cluster of one machine needs root"
fi
exit $failed
