#!/bin/sh
# target/classes + jars + res.ap_ + native libraries -> target/sidelong-debug.apk, signed with a key of this machine, and
# judged by the platform's own tools. Run after `mvn test`. Needs a JDK, aapt, zipalign and apksigner (Debian); r8 and
# JNA's AAR come from Maven Central.
# The core for phones goes into src/main/jniLibs/ABI/libsidelong.so (`cargo ndk`, see README.md). Without it the APK
# installs and cannot load the core; that is said.
set -eu
cd "$(dirname "$0")/.."
M=${M2:-$HOME/.m2/repository}; T=$PWD/target; W=$T/apk; OUT=$T/sidelong-debug.apk
property() { sed -n "s|.*<$1>\(.*\)</$1>.*|\1|p" pom.xml | head -1; }
JNA=$(property jna.version); KOTLIN=$(property kotlin.version); ALL=$(property android.all); R8=8.7.18
get() { [ -f "$2" ] || mvn -q -B dependency:get -Dtransitive=false -Dartifact="$1"; }
R8JAR=$M/com/android/tools/r8/$R8/r8-$R8.jar
AAR=$M/net/java/dev/jna/jna/$JNA/jna-$JNA.aar
get com.android.tools:r8:$R8 "$R8JAR"; get net.java.dev.jna:jna:$JNA:aar "$AAR"
rm -rf "$W"; mkdir -p "$W/dex" "$W/root/lib"

# 1. Our classes, JNA's of the AAR, Kotlin's runtime -> dex. What JNA and the binding look up by name is kept.
unzip -qo "$AAR" classes.jar 'jni/*' -d "$W/jna"
(cd "$T/classes" && jar cf "$W/app.jar" .)
cat > "$W/keep.pro" <<'P'
-keep class app.sidelong.** { *; }
-keep class sidelong.core.** { *; }
-keep class com.sun.jna.** { *; }
-keepattributes *Annotation*,Signature,InnerClasses,EnclosingMethod,RuntimeVisible*
-dontobfuscate
-dontwarn **
P
java -Xmx2g -cp "$R8JAR" com.android.tools.r8.R8 --release --min-api 26 \
  --lib "$M/org/robolectric/android-all/$ALL/android-all-$ALL.jar" --pg-conf "$W/keep.pro" --output "$W/dex" \
  "$W/app.jar" "$W/jna/classes.jar" "$M/org/jetbrains/kotlin/kotlin-stdlib/$KOTLIN/kotlin-stdlib-$KOTLIN.jar" \
  2> "$W/r8.log" || { cat "$W/r8.log" >&2; exit 1; }

# 2. Native libraries: JNA's for the ABIs that we ship, and the core's where it was built.
for abi in arm64-v8a armeabi-v7a x86_64; do
  [ -d src/main/jniLibs ] && [ ! -d src/main/jniLibs/$abi ] && continue
  mkdir -p "$W/root/lib/$abi"; cp "$W/jna/jni/$abi/libjnidispatch.so" "$W/root/lib/$abi/"
  [ ! -d src/main/jniLibs/$abi ] || cp src/main/jniLibs/$abi/*.so "$W/root/lib/$abi/"
done
[ -d src/main/jniLibs ] || echo "NOTE: no src/main/jniLibs: this APK installs but cannot load the core (see README.md)" >&2

# 3. Zipped: dex packed, libraries stored and on 16 KiB, so that they are mapped from the APK; then signed as it lies.
python3 tools/apkzip.py "$W/aligned.apk" "$T/res.ap_" "$W/dex" "$W/root"
KEY=${DEBUG_KEYSTORE:-$T/debug.p12}
[ -f "$KEY" ] || keytool -genkeypair -keystore "$KEY" -storetype PKCS12 -storepass android -alias debug -keyalg RSA \
  -keysize 2048 -validity 10000 -dname "CN=Debug" 2> /dev/null
apksigner sign --ks "$KEY" --ks-pass pass:android --ks-key-alias debug --min-sdk-version 26 --out "$OUT" "$W/aligned.apk"

# 4. Judged.
apksigner verify --min-sdk-version 26 -v "$OUT" | grep -E '^Verif|scheme \(.*true'
zipalign -c -p 4 "$OUT"
aapt dump badging "$OUT" | grep -E '^(package|sdkVersion|targetSdk|launchable|native-code|application-label:)'
printf 'size of the APK: %s bytes\n' "$(stat -c %s "$OUT")"
