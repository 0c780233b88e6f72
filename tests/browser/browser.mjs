// The browser, the list of checks, and small pictures. Packages live below target/, so they are asked for from there.
import { createRequire } from 'node:module';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';

export const [root, work, ...options] = process.argv.slice(2);
export const require = createRequire(`${work}/package.json`);
const { chromium } = require('playwright-core');
const { PNG } = require('pngjs');

/** A fresh browser with an empty profile (made and removed by the driver) that asks nobody for anything by itself. */
export function launch() {
  return chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
      '--disable-component-update', '--disable-sync', '--font-render-hinting=none', '--force-color-profile=srgb'],
  });
}

/** Opens a page from a file and keeps whatever else it asks for, says or shows. */
export async function open(browser, path, { width = 393, height = 852, scheme = 'light', scale = 1 } = {}) {
  const context = await browser.newContext({ viewport: { width, height }, colorScheme: scheme, deviceScaleFactor: scale });
  const page = await context.newPage();
  const own = pathToFileURL(path).href, asked = [], said = [];
  page.on('request', (request) => { if (!request.url().startsWith('data:') && request.url() !== own) asked.push(request.url()); });
  page.on('console', (message) => said.push(message.text()));
  page.on('pageerror', (error) => said.push(String(error)));
  page.on('dialog', (dialog) => { said.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  await page.goto(own);
  return { context, page, asked, said };
}

let passed = 0;
const failed = [];

/** One check; everything found wrong is printed, nothing is thrown away. */
export function check(name, wrong) {
  const list = Array.isArray(wrong) ? wrong : wrong ? [] : ['does not hold'];
  if (list.length === 0) {
    passed += 1;
    console.log(`ok    ${name}`);
  } else {
    failed.push(name);
    console.log(`FAIL  ${name}`);
    for (const line of list.slice(0, 12)) console.log(`      ${String(line).slice(0, 400)}`);
    if (list.length > 12) console.log(`      and ${list.length - 12} more`);
  }
}

export function close() {
  for (const name of failed) console.log(`failed: ${name}`);
  console.log(`${passed} passed, ${failed.length} failed`);
  process.exitCode = failed.length > 0 || passed === 0 ? 1 : 0;
}

/** A PNG made `times` smaller by averaging, in grey: words and lines are what is compared. */
export function smaller(bytes, times) {
  const from = PNG.sync.read(bytes);
  const width = Math.floor(from.width / times), height = Math.floor(from.height / times);
  const to = new PNG({ width, height, colorType: 0 });
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) {
      let sum = 0, count = 0;
      for (let v = Math.floor(y * times); v < Math.floor((y + 1) * times); v += 1) {
        for (let u = Math.floor(x * times); u < Math.floor((x + 1) * times); u += 1) {
          const at = 4 * (v * from.width + u);
          sum += 0.299 * from.data[at] + 0.587 * from.data[at + 1] + 0.114 * from.data[at + 2];
          count += 1;
        }
      }
      const grey = Math.round(sum / count);
      to.data.set([grey, grey, grey, 255], 4 * (y * width + x));
    }
  }
  return to;
}

/** The share of pixels that differ visibly between two grey pictures; 1 when their sizes differ. */
export function differing(a, b, aside = 0) {
  if (a.width !== b.width || a.height !== b.height) return 1;
  let count = 0;
  for (let y = 0; y < a.height; y += 1) {
    for (let x = aside; x < a.width; x += 1) {
      if (Math.abs(a.data[4 * (y * a.width + x)] - b.data[4 * (y * a.width + x - aside)]) > 48) count += 1;
    }
  }
  return count / (a.width * a.height);
}

export const png = {
  read: (path) => PNG.sync.read(readFileSync(path)),
  bytes: (picture) => PNG.sync.write(picture, { colorType: 0, inputColorType: 6, deflateLevel: 9 }),
};

export function write(path, bytes) {
  mkdirSync(path.slice(0, path.lastIndexOf('/')), { recursive: true });
  writeFileSync(path, bytes);
}
