#!/usr/bin/env bash
# One training run on a machine with CUDA.
#   device_run.sh POOL OUT MINUTES SEED
set -euo pipefail
pool=$(realpath "$1") out=$2 minutes=$3 seed=$4
mkdir -p "$out"
cd "$(dirname "$0")"
PYTHONUNBUFFERED=1 python3 train.py --pool "$pool" --out "$out" --minutes "$minutes" --seed "$seed" \
  --batch 512 2>&1 | tee "$out/log.txt"
