#!/usr/bin/env bash
# Makes the README's two pictures anew, from the test that searches both ears. Needs ImageMagick's "convert".
set -euo pipefail
cd "$(dirname "$0")/../.."

dotnet test tests/Browser.Tests --filter "FullyQualifiedName~WholeEarTests" --nologo -v q
mkdir -p docs/images
for name in console-testing kit-testing; do
  convert "tests/Browser.Tests/bin/Debug/net10.0/screens/$name.png" -strip +dither -colors 128 -define png:compression-level=9 "docs/images/$name.png"
  ls -l "docs/images/$name.png"
done
