#!/bin/sh
# res/ and the manifest -> res.ap_ and R.java, and the file that tells Robolectric of them. Maven calls it.
# usage: resources.sh ANDROID_ALL.jar BUILD_FOLDER
set -eu
cd "$(dirname "$0")/.."
T=$2; FW=$T/framework.apk; SRC=$PWD/src/main
mkdir -p "$T/classes" "$T/test-classes/com/android/tools" "$T/res"
[ "$FW" -nt "$1" ] || python3 tools/framework_arsc.py "$1" "$FW"
aapt2 compile --dir "$SRC/res" -o "$T/res/res.zip"
# Debian's aapt2 is older than <queries>: the warning keeps the element.
aapt2 link -o "$T/res.ap_" -I "$FW" --manifest "$SRC/AndroidManifest.xml" --auto-add-overlay --warn-manifest-validation \
  --java "$T/generated-sources/r" --min-sdk-version 26 --target-sdk-version 35 "$T/res/res.zip" 2> "$T/aapt2.err" || { cat "$T/aapt2.err" >&2; exit 1; }
cat > "$T/test-classes/com/android/tools/test_config.properties" <<P
android_custom_package=app.sidelong
android_merged_manifest=$SRC/AndroidManifest.xml
android_merged_resources=$SRC/res
android_merged_assets=$SRC/assets
android_resource_apk=$T/res.ap_
P
