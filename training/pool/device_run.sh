#!/usr/bin/env bash
# Films and reads until the minutes are up, after device_setup.sh.
#   device_run.sh SITE ROOT OUT MINUTES [more options of training.pool.make]
set -euo pipefail
site=$1 root=$2 out=$3 minutes=$4
shift 4
export PYTHONPATH=$site:$PWD:$PWD/src ANNY_CACHE_DIR=/tmp/anny_cache
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 MKL_NUM_THREADS=1 PYTHONUNBUFFERED=1
driver=/usr/local/nvidia/share/glvnd/egl_vendor.d/10_nvidia.json
if [ -f "$driver" ]; then export __EGL_VENDOR_LIBRARY_FILENAMES=$driver; fi
began=$SECONDS
python3 -c 'from studio.body import Build, make_body; make_body(Build())'
python3 -c 'from studio.draw.gl import context; print(context().info["GL_RENDERER"])'
left=$(python3 -c "print($minutes - ($SECONDS - $began) / 60)")
python3 -m training.pool.make --root "$root" --out "$out" --minutes "$left" "$@"
