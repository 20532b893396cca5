#!/usr/bin/env bash
# One training run on a machine with CUDA, as README.md's last row: goes on from start.pt, which
# unfold.py makes of the shipped weights.
#   device_run.sh DATA OUT MINUTES SEED
set -euo pipefail
data=$1 out=$2 minutes=$3 seed=$4
mkdir -p "$out"
here=$(cd "$(dirname "$0")" && pwd)
cd "$here"
gpus=$(nvidia-smi -L | wc -l)
workers=$(( $(nproc) / gpus - 2 ))
PYTHONUNBUFFERED=1 OMP_NUM_THREADS=1 torchrun --nproc-per-node "$gpus" train.py \
  --data "$data" --weights "$data/start.pt" --unfolded --out "$out" \
  --minutes "$minutes" --rate 2e-3 --seed "$seed" --workers "$workers" 2>&1 | tee "$out/log.txt"
