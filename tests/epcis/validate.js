// Validates documents with epcis2.js: node validate.js FILE, where FILE holds [{ "name": ..., "document": ... }].
// Prints one line of JSON for each document: { "name": ..., "faults": [...] }.
'use strict';

const { readFileSync } = require('node:fs');
const { setup, validateAgainstSchema, validateEpcisDocument } = require('epcis2.js');

// "full" looks at formats thoroughly; checkExtensions refuses prefixes that the document's context does not declare.
setup({ checkExtensions: true, validationMode: 'full' });

function faults(document) {
  const found = [];
  const whole = validateEpcisDocument(document, false);
  if (!whole.success) {
    found.push(...whole.errors);
    return found;
  }

  document.epcisBody.eventList.forEach((event, index) => {
    const one = validateAgainstSchema(event, event.type);
    if (!one.success) {
      found.push(...one.errors.map((error) => `event ${index + 1}: ${error}`));
    }
  });
  return found;
}

for (const { name, document } of JSON.parse(readFileSync(process.argv[2], 'utf8'))) {
  console.log(JSON.stringify({ name, faults: faults(document) }));
}
