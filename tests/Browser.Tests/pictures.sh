#!/usr/bin/env bash
# Makes the README's two pictures anew, from the test that searches both ears.
set -euo pipefail
cd "$(dirname "$0")/../.."

dotnet test tests/Browser.Tests --filter "FullyQualifiedName~WholeEarTests" --nologo -v q
mkdir -p docs/images
for name in console-testing kit-testing; do
  cp "tests/Browser.Tests/bin/Debug/net10.0/screens/$name.png" docs/images/
done
ls -l docs/images
