// Write xapi_verdicts.json: what a published validator says of each statement in xapi_statements.json.
//
//     npm install --prefix venv @learninglocker/xapi-validation@3.0.0 rulr@4.0.2 lodash@4.18.1
//     NODE_PATH=venv/node_modules node tests/reference/xapi_verdicts.js tests/reference
//
// The package is for xAPI 1.0.3, under the MIT licence, and was tested for conformance as part of a store of
// learning records. `tests/xapi.rs` writes the statements (COLDTRAIL_BLESS=1). A list of statements as
// `coldtrail records export FOLDER --format xapi` writes it is checked by naming its file:
//
//     NODE_PATH=venv/node_modules node tests/reference/xapi_verdicts.js FOLDER/statements.json

const fs = require("fs");
const path = require("path");
const name = "@learninglocker/xapi-validation";
const validate = require(name).default;
const version = require(name + "/package.json").version;

const given = process.argv[2];
const warnings = (statement) =>
  validate(statement).map((one) => `${one.constructor.name} at ${one.path.join("/")}`);

if (fs.statSync(given).isDirectory()) {
  const told = JSON.parse(fs.readFileSync(path.join(given, "xapi_statements.json")));
  const verdicts = {};
  for (const [what, statement] of Object.entries(told)) verdicts[what] = warnings(statement);
  const all = { validator: `${name} ${version}`, verdicts };
  fs.writeFileSync(path.join(given, "xapi_verdicts.json"), JSON.stringify(all, null, 2) + "\n");
} else {
  const statements = JSON.parse(fs.readFileSync(given));
  const wrong = statements.map(warnings).filter((found) => found.length > 0);
  console.log(`${name} ${version}: ${statements.length} statements, ${wrong.length} refused`);
  for (const found of wrong) console.log(found.join("; "));
  process.exitCode = wrong.length > 0 ? 1 : 0;
}
