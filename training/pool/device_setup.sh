#!/usr/bin/env bash
# Unpacks what was carried, on a machine with a GPU and no network; may run once for each call.
#   device_setup.sh SITE
# .carry/site/site.tar.xz and .carry/anny/anny.tar.xz: Python packages; .gl/*.deb: EGL and GL loaders.
set -euo pipefail
site=$1
mkdir -p "$site" /tmp/anny_cache
if [ -f .carry/site/site.tar.xz ] && [ ! -e "$site/.site" ]; then
  python3 -m tarfile -e .carry/site/site.tar.xz "$site" && touch "$site/.site"
fi
if [ -f .carry/anny/anny.tar.xz ] && [ ! -e "$site/.anny" ]; then
  python3 -m tarfile -e .carry/anny/anny.tar.xz /tmp/anny_pack
  cp -r /tmp/anny_pack/site/. "$site/"
  cp -r /tmp/anny_pack/cache/. /tmp/anny_cache/ && touch "$site/.anny"
fi
if ls .gl/*.deb >/dev/null 2>&1 && [ ! -e "$site/.gl" ]; then
  for f in .gl/*.deb; do dpkg -x "$f" /; done
  libs=$(dirname "$(find /usr/lib -name 'libEGL.so.1' | head -1)")
  ln -sf libGL.so.1 "$libs/libGL.so"; ln -sf libEGL.so.1 "$libs/libEGL.so"
  ldconfig && touch "$site/.gl"
fi
weights=src/causeline/sources/weights
if ls $weights/*.tflite >/dev/null 2>&1; then
  mkdir -p /tmp/weights_kept && cp $weights/* /tmp/weights_kept/
elif [ -d /tmp/weights_kept ]; then
  mkdir -p $weights && cp /tmp/weights_kept/* $weights/
fi
mkdir -p "$site/causeline-0.dist-info"
printf 'Metadata-Version: 2.1\nName: causeline\nVersion: 0\n' > "$site/causeline-0.dist-info/METADATA"
ls -a "$site" $weights | grep -E '^\.(site|anny|gl)$|heavy' | tr '\n' ' '
