#!/bin/sh
# Puts device.ts, the engine, Dawn for Node and scenes into a folder that runs on a Linux machine with a card, laid out as a
# release is:
#   sh test/gpu/device-bundle.sh FOLDER; then there: BUNDLE=FOLDER node FOLDER/pipeline/tracer/device.js speed
# The npm package `webgpu` must be installed here (npm install --no-save webgpu).
set -e
folder=$1
mkdir -p "$folder/node_modules/webgpu/dist" "$folder/built"
npx esbuild test/gpu/device.ts pipeline/tracer/dawn-host.ts --bundle --platform=node --format=esm --entry-names=[name] \
  --external:webgpu --external:puppeteer --external:@puppeteer/browsers --external:assemblyscript --external:esbuild \
  --outdir="$folder/pipeline/tracer"
cp node_modules/webgpu/index.js node_modules/webgpu/package.json "$folder/node_modules/webgpu/"
cp -r node_modules/webgpu/dist/linux-x64 "$folder/node_modules/webgpu/dist/"
cp node_modules/.cache/bandwright/*.wasm node_modules/.cache/bandwright/*.js "$folder/built/"
cp node_modules/.cache/bandwright/kernel.wasm "$folder/"
echo '{}' >"$folder/built/identities.json"
echo '{ "type": "module", "optionalDependencies": {} }' >"$folder/package.json"
[ "$2" = code ] || node --import ./pipeline/cli/typescript.mjs test/gpu/write-scenes.ts "$folder/gpuscenes"
