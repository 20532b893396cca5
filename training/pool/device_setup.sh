#!/usr/bin/env bash
# Unpacks what was carried, on a machine with a GPU and no network; may run once for each call.
#   device_setup.sh SITE
# .carry/NAME/NAME.tar.xz: Python packages, each unpacked once; .carry/weights: the landmark
# engine's files; .gl/*.deb: EGL and GL loaders. The body model is built as soon as it can be, in
# the background, while the rest is still on its way.
set -euo pipefail
site=$1
mkdir -p "$site" /tmp/anny_cache /tmp/weights_kept
for packed in .carry/*/*.tar.xz; do
  mark=$site/.$(basename "$packed" .tar.xz)
  if [ -f "$packed" ] && [ ! -e "$mark" ]; then
    tar xJf "$packed" -C "$site" || python3 -m tarfile -e "$packed" "$site"
    touch "$mark"
  fi
done
if ls .gl/*.deb >/dev/null 2>&1 && [ ! -e "$site/.gl" ]; then
  for f in .gl/*.deb; do dpkg -x "$f" /; done
  libs=$(dirname "$(find /usr/lib -name 'libEGL.so.1' | head -1)")
  ln -sf libGL.so.1 "$libs/libGL.so"; ln -sf libEGL.so.1 "$libs/libEGL.so"
  ldconfig && touch "$site/.gl"
fi
if ls .carry/weights/*.tflite >/dev/null 2>&1; then cp .carry/weights/*.tflite /tmp/weights_kept/; fi
mkdir -p "$site/causeline-0.dist-info"
printf 'Metadata-Version: 2.1\nName: causeline\nVersion: 0\n' > "$site/causeline-0.dist-info/METADATA"
if [ -e "$site/.anny" ] && [ ! -e "$site/.building" ]; then
  touch "$site/.building"
  PYTHONPATH=$site:$PWD:$PWD/src ANNY_CACHE_DIR=/tmp/anny_cache setsid nohup \
    python3 -c 'from studio.body import Build, make_body; make_body(Build())' \
    >/tmp/anny_build.log 2>&1 </dev/null &
fi
ls -a "$site" /tmp/weights_kept | grep -E '^\.[a-z]+$|heavy' | tr '\n' ' '
