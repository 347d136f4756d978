// Validates scenario files against the JSON Schema with ajv, which shares no
// code with the reader.
//
//   node check.mjs SCHEMA accept FILE...    every file must be valid
//   node check.mjs SCHEMA refuse FILE...    no file may be valid
import { readFileSync } from "node:fs";
import Ajv2020 from "ajv/dist/2020.js";
import { parse } from "yaml";

const [schemaFile, mode, ...files] = process.argv.slice(2);
if (!schemaFile || !["accept", "refuse"].includes(mode) || files.length === 0) {
  console.error("usage: node check.mjs SCHEMA accept|refuse FILE...");
  process.exit(2);
}
const ajv = new Ajv2020({ strict: true, allowUnionTypes: true, allErrors: true });
const validate = ajv.compile(JSON.parse(readFileSync(schemaFile, "utf8")));

let failed = 0;
for (const file of files) {
  const valid = validate(parse(readFileSync(file, "utf8"), { merge: true }));
  if (valid === (mode === "accept")) continue;
  failed++;
  console.error(`${file}: ${valid ? "valid, should be refused" : "not valid"}`);
  for (const e of validate.errors ?? []) {
    console.error(`  ${e.instancePath || "/"} ${e.message}`);
  }
}
console.log(`${files.length - failed} passed, ${failed} failed`);
process.exit(failed === 0 ? 0 : 1);
