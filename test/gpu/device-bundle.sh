#!/bin/sh
# Puts device.ts, the kernel, Dawn for Node and scenes into a folder that runs on a Linux machine with a card:
#   sh test/gpu/device-bundle.sh FOLDER; then there: BUNDLE=FOLDER node FOLDER/device.mjs speed
# The npm package `webgpu` must be installed here (npm install --no-save webgpu).
set -e
folder=$1
mkdir -p "$folder/node_modules/webgpu/dist"
npx esbuild test/gpu/device.ts --bundle --platform=node --format=esm --external:webgpu --outfile="$folder/device.mjs"
cp node_modules/webgpu/index.js node_modules/webgpu/package.json "$folder/node_modules/webgpu/"
cp -r node_modules/webgpu/dist/linux-x64 "$folder/node_modules/webgpu/dist/"
cp node_modules/.cache/bandwright/kernel.wasm "$folder/"
node --import ./pipeline/cli/typescript.mjs test/gpu/write-scenes.ts "$folder/gpuscenes"
