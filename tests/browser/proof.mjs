// A bundle's page, which checks itself, opened from a file: it says that it holds together, that it does not once a byte of what it
// carries is changed, and that it was not verified where the browser cannot. And the statement of process, on paper.
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { check, open, work } from './browser.mjs';
import { beyond, reachable } from './screens.mjs';
import { source } from './source.mjs';

const SETTLED = () => !document.getElementById('verdict').textContent.includes('where scripts run');

/** What a page comes to say of itself. */
async function verdict(page) {
  await page.waitForFunction(SETTLED, null, { timeout: 60_000 });
  return page.innerText('#verdict');
}

/** The same with a page changed as text. */
async function changed(browser, text, act) {
  const path = `${work}/changed.html`, now = act(text);
  if (now === text) throw new Error(`nothing was changed: ${act}`);
  writeFileSync(path, now);
  const { context, page } = await open(browser, path);
  const said = await verdict(page);
  await context.close();
  return said;
}

/** Another letter in the place of the first that the pattern's group holds. */
const flip = (pattern) => (text) => text.replace(pattern, (all, before, letter) => before + (letter === 'A' ? 'B' : letter === '1' ? '2' : letter === 'a' ? 'b' : /\d/.test(letter) ? '1' : /[a-f]/.test(letter) ? 'a' : 'A') + all.slice(before.length + 1));

/** One byte each of what the page carries, and the words in which it is told. */
const CHANGES = [
  ['an entry', flip(/("event":"\{\\"app\\":\\"sidelong\/0.1.0\\",\\"at\\":)(\d)/), 'was changed'],
  ['the salt of an entry', flip(/(\\"salt\\":\\")([0-9a-f])/), 'was changed'],
  ['a leaf', flip(/("leaf":")([0-9a-f])/), /was changed|is not in the log/],
  ['a proof', flip(/("proof":\["[+/]*)([A-Za-z0-9])/), 'is not in the log'],
  ['the place of an entry', flip(/("seq":)(\d)/), /belongs elsewhere|not in the log|beyond the end/],
  ['whose entry it is', (text) => text.replace('"of_job":true', '"of_job":false'), 'is of another job'],
  ['the root of a log', flip(/("checkpoint":"[^"]*?\\n\d+\\n[+/]*)([A-Za-z0-9])/), 'does not fit'],
  ["a log's signature", flip(/("checkpoint":"[^"]*?\u2014 \S+ \S{12}[+/]*)([A-Za-z0-9])/), 'does not fit'],
  ["a log's key", flip(/("key":")([0-9a-f])/), 'the key is not that of'],
  ["the page's signature", flip(/(id="signed"[^]*?\u2014 \S+ \S{12}[+/]*)([A-Za-z0-9])/), 'does not fit'],
  ['what is signed', flip(/(words-sha256 )([0-9a-f])/), 'does not fit'],
  ['a picture', flip(/(src="data:image\/jpeg;base64,.{900}[+/]*)([A-Za-z0-9])/), 'picture 1 was changed'],
  ['the hash of a picture', flip(/("pictures":\[\[")([0-9a-f])/), /no entry names|was changed/],
  ['a picture taken away', (text) => text.replace(/<img [^>]*>/, ''), 'added or taken away'],
  ['an entry taken away', (text) => text.replace(/\{"event":.*?"seq":\d+\},/, ''), /record in this page was changed|no entry names/],
  ['a word', (text) => text.replace('>Condition report</h1>', '>Condition Report</h1>'), 'the words of this page were changed'],
];

export async function proof(browser, sidelong, demo) {
  const bundle = `${demo}/bundle`, path = `${bundle}/data/report.html`;
  source(path, 3);
  const text = readFileSync(path, 'utf8');
  const scripts = [...text.matchAll(/<script>([^]*?)<\/script>/g)].map((it) => it[1]);
  const named = text.match(/script-src 'sha256-([A-Za-z0-9+/=]+)'/)?.[1];
  check("the page's policy names its one script by hash", scripts.length === 1 && createHash('sha256').update(scripts[0]).digest('base64') === named);
  const { context, page, asked, said } = await open(browser, path, { width: 320 });
  const whole = await verdict(page);
  check(`a bundle's page holds together, opened from a file: ${whole.slice(0, 90)}…`, /^Holds together\. The words of this page, its \d+ pictures and \d+ entries/.test(whole) ? [] : [whole]);
  const pictures = (text.match(/<img /g) ?? []).length, counted = JSON.parse(execFileSync(sidelong, ['verify', bundle, '--json'], { encoding: 'utf8' }));
  check('of as many pictures and entries as there are', whole.includes(`its ${pictures} pictures and ${counted.counts.entries} entries`) && pictures > 5);
  check('it says what it cannot show, and where to look', (await page.innerText('footer')).includes('A page proves nothing against whoever made or changed it') && (await page.innerText('footer')).includes('VERIFY.txt'));
  check('it asks for nothing and says nothing', [...asked, ...said]);
  check("everyone can read it (a bundle's page, 320 px)", (await reachable(page)).violations);
  check("nothing beyond the edge (a bundle's page, 320 px)", await page.evaluate(beyond));
  await context.close();

  const missed = [];
  for (const [what, act, words] of CHANGES) {
    const told = await changed(browser, text, act);
    if (!told.startsWith('FAILED.') || !(words instanceof RegExp ? words.test(told) : told.includes(words))) missed.push(`${what}: ${told}`);
  }
  check(`${CHANGES.length} changes of what the page carries, each told by what was changed`, missed);

  // A script that was changed is not run: the policy names another.
  writeFileSync(`${work}/changed.html`, text.replace("'use strict';", "'use strict' ;"));
  const other = await open(browser, `${work}/changed.html`);
  await other.page.waitForTimeout(300);
  check('a changed script is not run', (await other.page.innerText('#verdict')).startsWith('Not verified.') && other.said.some((it) => it.includes('Content Security Policy')));
  await other.context.close();

  const without = async (options, before) => {
    const bare = await browser.newContext(options);
    if (before) await bare.addInitScript(before);
    const shown = await bare.newPage();
    await shown.goto(pathToFileURL(path).href);
    if (before) await shown.waitForFunction(SETTLED, null, { timeout: 60_000 });
    const told = await shown.innerText('#verdict'), lead = await shown.innerText('h1');
    await bare.close();
    return [told, lead];
  };
  for (const [what, options, before, words] of [
    ['scripts', { javaScriptEnabled: false }, null, 'where scripts run'],
    ['crypto.subtle', {}, () => Object.defineProperty(Crypto.prototype, 'subtle', { get: () => undefined }), 'offers no cryptography'],
    ['Ed25519', {}, () => { SubtleCrypto.prototype.importKey = () => Promise.reject(new DOMException('no', 'NotSupportedError')); }, 'cannot check an Ed25519 signature'],
  ]) {
    const [told, lead] = await without(options, before);
    check(`without ${what} it reads as ever and is not verified`, told.startsWith('Not verified.') && told.includes(words) && lead === 'Condition report' ? [] : [told, lead]);
  }

  // Texts that mean to break out: their page is signed, and holds together, like any other.
  const hostile = `${work}/hostile/bundle`;
  rmSync(hostile, { recursive: true, force: true });
  execFileSync(sidelong, ['bundle', '019eab2e', hostile, '--store', `${work}/hostile/store`], { stdio: 'ignore' });
  const shown = await open(browser, `${hostile}/data/report.html`);
  const told = await verdict(shown.page);
  check('hostile texts do not keep a page from holding together', told.startsWith('Holds together.') ? [] : [told]);
  check('and nothing of them runs', [...shown.asked, ...shown.said]);
  await shown.context.close();

  await statement(browser, sidelong, bundle);
}

async function statement(browser, sidelong, bundle) {
  const path = `${work}/statement.html`;
  rmSync(path, { force: true });
  execFileSync(sidelong, ['verify', bundle, '--statement', path], { stdio: 'ignore' });
  source(path);
  const { context, page } = await open(browser, path, { width: 320 });
  check('everyone can read the statement of process (320 px)', (await reachable(page)).violations);
  check('nothing of it beyond the edge (320 px)', await page.evaluate(beyond));
  await page.pdf({ path: `${work}/statement.pdf`, format: 'A4' });
  await context.close();
  const sheets = execFileSync('pdftotext', ['-layout', `${work}/statement.pdf`, '-'], { encoding: 'utf8' }).split('\f').filter((sheet) => sheet.trim());
  check(`on paper it has ${sheets.length} sheets, each numbered and marked as a draft`, sheets.length >= 3 && sheets.length <= 6
    && sheets.every((sheet, index) => sheet.includes(`Page ${index + 1} of ${sheets.length}`) && sheet.includes('a draft, signed by nobody')));
  check('the blanks stand together on one sheet', sheets.filter((sheet) => sheet.includes('6. For the qualified person') && sheet.includes('Signature')).length === 1);
  execFileSync('pdftoppm', ['-r', '60', '-png', `${work}/statement.pdf`, `${work}/statement`]);
}
