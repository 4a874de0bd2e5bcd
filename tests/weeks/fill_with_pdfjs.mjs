// Fills in a PDF form as a browser does: node fill_with_pdfjs.mjs MODULE FORM VALUES.json OUT
import fs from 'node:fs';
import { pathToFileURL } from 'node:url';

const [module, form, values, out] = process.argv.slice(2);
const pdfjs = await import(pathToFileURL(module));
const typed = JSON.parse(fs.readFileSync(values, 'utf8'));
const data = new Uint8Array(fs.readFileSync(form));
const file = await pdfjs.getDocument({ data, verbosity: 0 }).promise;
for (let number = 1; number <= file.numPages; number++) {
  const page = await file.getPage(number);
  for (const field of await page.getAnnotations()) {
    if (field.fieldName in typed) {
      file.annotationStorage.setValue(field.id, { value: typed[field.fieldName] });
    }
  }
}
fs.writeFileSync(out, await file.saveDocument());
