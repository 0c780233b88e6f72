// Makes seeded JSON texts, written anyhow, and what RFC 8785 makes of them: names sorted by UTF-16 units (which is how
// ECMAScript sorts), strings and numbers as JSON.stringify prints them. Every fifth holds one thing that an event may
// not hold (a null, a fraction, an integer beyond 2^53-1): "refused" is expected. One `{"given","expected"}` a line.
const [seed, count] = process.argv.slice(2).map(Number);

// mulberry32, a public-domain generator of 32-bit numbers.
let state = seed >>> 0;
function next() {
  state = (state + 0x6d2b79f5) >>> 0;
  let t = state;
  t = Math.imul(t ^ (t >>> 15), t | 1);
  t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
  return (t ^ (t >>> 14)) >>> 0;
}
const below = (n) => next() % n;
const pick = (items) => items[below(items.length)];

const ranges = [[0x00, 0x1f], [0x20, 0x7f], [0x80, 0x24f], [0x2020, 0x2030], [0xe000, 0xffff], [0x10000, 0x10ffff], [0x1f600, 0x1f64f]];
const string = () =>
  Array.from({ length: below(7) }, () => {
    const [low, high] = pick(ranges);
    return String.fromCodePoint(low + below(high - low + 1));
  }).join("");
const integer = () => pick([0, 1, -1, below(1000), -below(2 ** 31), Number.MAX_SAFE_INTEGER, -Number.MAX_SAFE_INTEGER, next() * 2 ** 20]);
const foreign = () => pick(["null", "0.5", "-0", "1.0", "1e3", "9007199254740992", "-9007199254740993", "18446744073709551615", "1e400"]);

// A value is a scalar, { items } or { fields: [[name, value]…] } with different names, or { raw }, a text as it is.
function value(depth) {
  const kind = depth > 0 ? below(6) : 2 + below(4);
  if (kind === 0) return { items: Array.from({ length: below(5) }, () => value(depth - 1)) };
  if (kind === 1) {
    const names = new Set(Array.from({ length: below(7) }, string));
    return { fields: [...names].map((name) => [name, value(depth - 1)]) };
  }
  return pick([string, integer, () => below(2) === 0])();
}

const space = () => pick(["", "", " ", "\t", "  "]);
function quoted(text) {
  const units = text.split("").map((unit) => {
    const code = unit.charCodeAt(0);
    const escape = () => "\\u" + code.toString(16).padStart(4, "0");
    // Half of a pair is only ever written as an escape together with the other half.
    if (code >= 0xd800 && code <= 0xdfff) return escape();
    if (unit === "/") return pick(["/", "\\/"]);
    return below(4) === 0 ? escape() : JSON.stringify(unit).slice(1, -1);
  });
  return `"${units.join("")}"`;
}
function loose(it) {
  if (typeof it === "string") return quoted(it);
  if (it.raw !== undefined) return it.raw;
  const joined = (open, parts, close) => open + space() + parts.join(space() + "," + space()) + space() + close;
  if (it.items) return joined("[", it.items.map(loose), "]");
  if (it.fields) return joined("{", it.fields.map(([name, field]) => quoted(name) + space() + ":" + space() + loose(field)), "}");
  return String(it);
}
function canonical(it) {
  if (it.items) return `[${it.items.map(canonical).join(",")}]`;
  if (!it.fields) return JSON.stringify(it);
  const names = it.fields.map(([name]) => name).sort();
  const fields = new Map(it.fields);
  return `{${names.map((name) => JSON.stringify(name) + ":" + canonical(fields.get(name))).join(",")}}`;
}

for (let at = 0; at < count; at += 1) {
  const inner = value(4);
  const spoiled = at % 5 === 4;
  const whole = spoiled ? { fields: [["a", inner], ["b", { items: [{ raw: foreign() }] }]] } : inner;
  console.log(JSON.stringify({ given: loose(whole), expected: spoiled ? "refused" : canonical(whole) }));
}
