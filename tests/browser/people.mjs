// What people type is shown letter by letter and never becomes part of the page: a job whose every text is hostile is
// recorded through the command, and its page is laid beside one of the same inputs with plain texts.
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { check, open, root, work } from './browser.mjs';

const PLAIN = { plate: 'PL41 NTX', vin: 'A VIN', colour: 'blue', answer: 'one', mark: 'two', reason: 'three', photo: 'four', feel: 'five', view: 'six' };
const HOSTILE = {
  // Right-to-left letters (Hebrew), and an override that turns all that follows (Unicode Standard Annex 9).
  plate: '\u05d0\u05d1\u05d2-123 \u202e<b>',
  vin: '"><script>told(1)</script>'.slice(0, 30),
  colour: '</style><script>told(2)</script><img src=x onerror=told(3)> \u{1f697}\u{1f1e9}\u{1f1ea}',
  answer: '<svg onload=told(4)><a href="javascript:told(5)">x</a>',
  mark: '\u0645\u0631\u062d\u0628\u0627 <i onclick=told(6)> \u2067 &lt;b&gt; &amp; \'"`',
  reason: '<!-- --><iframe src="http://127.0.0.1:9/"></iframe>\nsecond line',
  photo: '\u202e\u2066</figcaption></main></body></html><h1>told</h1> e\u0301\u0323 \u{1f468}\u200d\u{1f527}',
  feel: '<meta http-equiv=refresh content="0;url=http://127.0.0.1:9/">',
  view: '"; } body { display: none } @import url(http://127.0.0.1:9/x.css); /*',
};

let count = 0;
const id = () => `019eab2e-0000-7000-8000-${(count += 1).toString(16).padStart(12, '0')}`;

/** Inputs of one small visit. */
function inputs(texts) {
  count = 0;
  const job = id(), mark = id(), lines = [];
  const act = (name, body, input = id()) => lines.push(JSON.stringify({ input, job, act: { [name]: body } }));
  const described = (length) => ({ panel: 'bonnet', from: { u_ppm: 400000, v_ppm: 400000 }, kind: 'stone-chip', length_um: length, measured: 'ruler' });
  act('open_job', { form: 'saloon', finish: 'solid', scope: ['outside'], plate: texts.plate, vin: texts.vin, colour: texts.colour });
  act('begin_walk', { stage: 'as-found' });
  act('record_mark', { mark: { ...described(2000), note: texts.mark } }, mark);
  act('record_outcome', { panel: 'roof', outcome: 'nothing-seen', distance: 'close', light: 'soft', surface: 'clean', note: texts.answer });
  act('correct_mark', { mark, becomes: { ...described(2400), note: texts.mark }, reason: texts.reason });
  act('attach_photo', { file: 'photo.jpg', view: 'close', mark, note: texts.photo });
  act('attach_photo', { file: 'photo.jpg', view: 'overall', note: texts.view });
  act('record_feel', { panel: 'bonnet', method: 'bag', level: 'smooth', note: texts.feel });
  act('close_job', {});
  return { job, text: `${lines.join('\n')}\n` };
}

/** Records inputs into a fresh notebook and gives the page. */
export function recorded(sidelong, name, { job, text }) {
  const dir = `${work}/${name}`;
  rmSync(dir, { recursive: true, force: true });
  mkdirSync(dir, { recursive: true });
  copyFileSync(`${root}/fixtures/photos/arrival-bonnet-close.jpg`, `${dir}/photo.jpg`);
  writeFileSync(`${dir}/inputs.jsonl`, text);
  execFileSync(sidelong, ['record', `${dir}/inputs.jsonl`, '--store', `${dir}/store`], { stdio: ['ignore', 'ignore', 'inherit'] });
  execFileSync(sidelong, ['report', job, '--store', `${dir}/store`, '-o', `${dir}/report.html`], { stdio: ['ignore', 'ignore', 'inherit'] });
  return `${dir}/report.html`;
}

/** Every element with the names of its attributes, but for the lines of a drawing. */
const skeleton = () => [...document.querySelectorAll('*')].filter((it) => it.tagName !== 'path').map((it) => `${it.tagName} ${[...it.attributes].map((a) => a.name).join(' ')}`);
const isolated = () => [...document.querySelectorAll('bdi')].map((it) => it.textContent);

/** After a name from right to left the line goes on at its right: the next letters stand right of the name's. */
const order = () => {
  const name = document.querySelector('.lead bdi'), range = document.createRange();
  range.selectNodeContents(name);
  const before = range.getBoundingClientRect(), next = name.nextSibling;
  range.setStart(next, 0);
  range.setEnd(next, 3);
  const after = range.getBoundingClientRect();
  return { direction: getComputedStyle(name).unicodeBidi, right: after.left >= before.right - 1 || after.top > before.bottom - 2 };
};

export async function people(browser, sidelong, demo) {
  const plain = recorded(sidelong, 'plain', inputs(PLAIN)), hostile = recorded(sidelong, 'hostile', inputs(HOSTILE));
  const wanted = await open(browser, plain), got = await open(browser, hostile);
  await got.page.waitForTimeout(300);
  const [a, b] = [await wanted.page.evaluate(skeleton), await got.page.evaluate(skeleton)];
  const first = a.findIndex((it, index) => it !== b[index]);
  check(`no text became an element (${a.length} elements)`, a.length === b.length && first < 0 ? [] : [`${a.length} and ${b.length}; the ${first}th: ${a[first]} / ${b[first]}`]);
  check('no script, frame or refresh came about', await got.page.$$eval('script, iframe, object, embed, meta[http-equiv=refresh]', (all) => all.map((it) => it.outerHTML)));
  check('nothing was asked for, nothing ran', [...got.asked, ...got.said]);
  const bdi = await got.page.evaluate(isolated);
  check('every text stands there letter by letter, isolated from the writing around it',
    Object.entries(HOSTILE).filter(([, text]) => !bdi.some((it) => it.includes(text.trim()))).map(([field]) => field));
  const { direction, right } = await got.page.evaluate(order);
  check('a name from right to left does not turn the line', direction === 'isolate' && right);
  check('line breaks in a text are kept', await got.page.$$eval('bdi', (all) => all.some((it) => it.textContent.includes('\n') && it.getClientRects().length > 1)));
  const wide = await got.page.evaluate(() => document.documentElement.scrollWidth <= innerWidth);
  check('no text is wider than a phone', wide);
  await got.page.pdf({ path: `${work}/hostile.pdf`, format: 'A4' });
  const foot = execFileSync('pdftotext', ['-layout', `${work}/hostile.pdf`, '-'], { encoding: 'utf8' });
  const feet = foot.split('\f').filter((sheet) => sheet.trim());
  check(`the foot of each of ${feet.length} sheets stays what it is`, feet.length > 0 && feet.every((sheet, index) => /Condition report, /.test(sheet) && sheet.includes(`Page ${index + 1} of ${feet.length}`)));

  // Only a demonstration's page is stamped as one.
  const stamped = async (page) => ((await page.innerText('body')).match(/demonstration/i) !== null);
  const shown = await open(browser, demo);
  check("a demonstration's page says so first", await shown.page.evaluate(() => document.querySelector('main').firstElementChild.textContent.startsWith('Demonstration.')));
  check('a page of a real notebook does not', !(await stamped(wanted.page)) && !/demonstration/i.test(readFileSync(plain, 'utf8')));

  // A page into which a text did get would be found.
  const broken = `${work}/broken.html`;
  writeFileSync(broken, readFileSync(hostile, 'utf8').replace('&lt;svg onload=told(4)&gt;', '<svg onload=told(4)>').replace(/<meta http-equiv[^>]*>/, ''));
  const wrong = await open(browser, broken);
  await wrong.page.waitForTimeout(300);
  check('a text that becomes an element is noticed', (await wrong.page.evaluate(skeleton)).join() !== a.join() && wrong.said.length > 0);
  for (const { context } of [wanted, got, shown, wrong]) await context.close();
}
