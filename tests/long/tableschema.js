// Usage: node tableschema.js SCHEMA... [-- SCHEMA CSV ...]: each schema is valid by the Frictionless
// library; each CSV, paired with its schema, has its columns, types and constraints. An input file
// may leave columns out: it is held against the fields it has.
const fs = require('fs');
const { Schema, Table } = require('tableschema');

async function main() {
  const args = process.argv.slice(2), cut = args.indexOf('--');
  const schemas = cut < 0 ? args : args.slice(0, cut), pairs = cut < 0 ? [] : args.slice(cut + 1);
  for (const path of schemas) {
    const schema = await Schema.load(JSON.parse(fs.readFileSync(path)));
    const name = path.replace(/.*\//, '').replace('.schema.json', '');
    console.log(schema.valid ? `ok tableschema-${name}` : `FAILED tableschema-${name}: ${schema.errors[0]}`);
  }
  for (let i = 0; i < pairs.length; i += 2) {
    const name = `tableschema-of-${pairs[i + 1].split('/').slice(-2).join('-')}`;
    try {
      const { foreignKeys, primaryKey, ...schema } = JSON.parse(fs.readFileSync(pairs[i]));
      const head = fs.readFileSync(pairs[i + 1], 'utf8').split(/\r?\n/)[0].split(',');
      const known = Object.fromEntries(schema.fields.map((f) => [f.name, f]));
      schema.fields = head.map((n) => known[n] || { name: n, type: 'string' });
      const table = await Table.load(pairs[i + 1], { schema });
      const rows = await table.read();
      console.log(rows.length > 0 ? `ok ${name}` : `FAILED ${name}: no rows`);
    } catch (e) {
      console.log(`FAILED ${name}: ${(e.errors && e.errors[0] && e.errors[0].message) || e.message}`);
    }
  }
}
main().catch((e) => { console.log(`FAILED tableschema: ${e.message}`); });
