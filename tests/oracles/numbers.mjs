// Reads `bits of a double in hex,text` and compares the text with what ECMAScript prints: RFC 8785 section 3.2.2.3 is
// defined by it (ECMA-262, Number::toString), and -0 is 0. Not a number and infinities must be "refused".
import { readFileSync } from "node:fs";

const view = new DataView(new ArrayBuffer(8));
let checked = 0;
const wrong = [];
for (const line of readFileSync(0, "utf8").split("\n")) {
  if (line === "") continue;
  const [bits, text] = line.split(",");
  view.setBigUint64(0, BigInt("0x" + bits));
  const number = view.getFloat64(0);
  const expected = Number.isFinite(number) ? JSON.stringify(number) : "refused";
  checked += 1;
  if (text !== expected) wrong.push({ bits, text, expected });
}
console.log(JSON.stringify({ checked, wrong: wrong.slice(0, 5), count: wrong.length }));
