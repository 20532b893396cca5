#!/usr/bin/env bash
# One training run on a machine with CUDA.
#   device_run.sh DATA OUT MINUTES SEED [more options of train.py]
# DATA: lift*.npz of pose.py, offsets.npz.
set -euo pipefail
data=$(realpath "$1") out=$2 minutes=$3 seed=$4
shift 4
mkdir -p "$out"
out=$(realpath "$out")
cd "$(dirname "$0")"
PYTHONUNBUFFERED=1 python3 train.py --pool "$data"/lift*.npz --offsets "$data/offsets.npz" \
  --out "$out" --minutes "$minutes" --seed "$seed" --batch 640 --width 256 "$@" 2>&1 | tee "$out/log.txt"
