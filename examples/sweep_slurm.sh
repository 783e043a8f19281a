#!/usr/bin/env bash
# A sweep as a Slurm array: each task makes one shard. Submit it, and put the shards together when all are done:
#
#   export FILE=params/demo_mm.yaml OUT=$PWD/out/offsets
#   array=$(sbatch --parsable examples/sweep_slurm.sh)
#   sbatch --dependency=afterok:$array --wrap "tailpattern sweep merge $OUT/shard-* --out $OUT/whole"
#
# A task that is stopped or put back into the queue goes on where it was. OUT lies on a disk that all nodes see.
#
#SBATCH --job-name=tail-sweep
#SBATCH --array=1-4
#SBATCH --cpus-per-task=2
#SBATCH --mem-per-cpu=500M
#SBATCH --time=01:00:00
#SBATCH --requeue
set -euo pipefail

tailpattern sweep "$FILE" --over "${OVER:-mount_pad.offset=-60..60/1000}" --check "${CHECK:-all}" \
    --shard "$SLURM_ARRAY_TASK_ID/$SLURM_ARRAY_TASK_COUNT" --threads "$SLURM_CPUS_PER_TASK" \
    --out "$OUT/shard-$SLURM_ARRAY_TASK_ID" --resume
