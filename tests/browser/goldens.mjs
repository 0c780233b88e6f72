// Small pictures of the page as it was when somebody last looked and found it right. `--update` takes them anew.
import { readFileSync, readdirSync, statSync } from 'node:fs';
import { check, differing, open, options, png, root, smaller, work, write } from './browser.mjs';

/** Share of pixels that may differ. A picture that is moved by one pixel differs by more; that is checked too. */
const TOLERANCE = 0.02;

async function picture(browser, report, name, seen) {
  const { context, page } = await open(browser, report, seen);
  const bytes = await page.screenshot();
  await context.close();
  return [name, smaller(bytes, 2)];
}

export async function goldens(browser, report) {
  const update = options.includes('--update');
  const first = readdirSync(work).filter((it) => /^A4-0*1\.png$/.test(it));
  if (first.length !== 1) throw new Error(`the first sheet: ${first}`);
  const taken = [
    await picture(browser, report, 'phone-day', { scale: 2 }),
    await picture(browser, report, 'phone-night', { scale: 2, scheme: 'dark' }),
    ['sheet-1', smaller(readFileSync(`${work}/${first[0]}`), 1.25)],
  ];
  for (const [name, now] of taken) {
    const path = `${root}/tests/browser/golden/${name}.png`;
    write(`${work}/now/${name}.png`, png.bytes(now));
    if (update) write(path, png.bytes(now));
    const before = png.read(path), share = differing(before, now);
    check(`${name} looks as it did: ${(100 * share).toFixed(2)} % of its pixels differ (if it should not: --update)`, share <= TOLERANCE);
    const moved = differing(before, before, 2);
    check(`${name} moved by two pixels is noticed: ${(100 * moved).toFixed(2)} %`, moved > TOLERANCE);
    check(`${name} is small: ${(statSync(path).size / 1000).toFixed(0)} kB`, statSync(path).size < 60_000);
  }
  if (update) {
    const { context, page } = await open(browser, report, { width: 660 });
    const drawing = await page.locator('figure.folded').first().boundingBox();
    const clip = { x: 0, y: 0, width: 660, height: Math.ceil(drawing.y + drawing.height + 16) };
    write(`${root}/fixtures/pictures/report.png`, png.bytes(smaller(await page.screenshot({ fullPage: true, clip }), 1)));
    await context.close();
  }
  const shown = statSync(`${root}/fixtures/pictures/report.png`).size;
  check(`the README's picture is small: ${(shown / 1000).toFixed(0)} kB`, shown < 150_000);
}
