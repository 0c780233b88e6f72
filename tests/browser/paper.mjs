// The page on paper: A4 (ISO 216) and US Letter; nothing cut off, nothing torn from its heading.
import { execFileSync } from 'node:child_process';
import { readdirSync, rmSync } from 'node:fs';
import { check, open, work } from './browser.mjs';

const PAGES = { A4: [4, 10], Letter: [4, 11] };
/** The narrowest margin of the sheet, points: 14 mm less a little. */
const MARGIN = 38;

/** Words of each sheet with their boxes in points, by Poppler's `pdftotext -bbox`. */
function sheets(pdf) {
  const text = execFileSync('pdftotext', ['-bbox', pdf, '-'], { encoding: 'utf8', maxBuffer: 1 << 26 });
  const plain = (it) => it.replace(/&lt;/g, '<').replace(/&gt;/g, '>').replace(/&quot;/g, '"').replace(/&amp;/g, '&');
  return text.split('<page ').slice(1).map((sheet) => {
    const [, width, height] = sheet.match(/width="([\d.]+)" height="([\d.]+)"/);
    const words = [...sheet.matchAll(/<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)<\/word>/g)]
      .map(([, left, top, right, bottom, word]) => ({ left: +left, top: +top, right: +right, bottom: +bottom, word: plain(word) }));
    return { width: +width, height: +height, words };
  });
}

/** Texts of the lines of a sheet, from above. */
function lines(sheet) {
  const rows = new Map();
  for (const word of sheet.words) {
    const row = [...rows.keys()].find((it) => Math.abs(it - word.bottom) < 3) ?? word.bottom;
    rows.set(row, [...(rows.get(row) ?? []), word]);
  }
  return [...rows.entries()].sort((a, b) => a[0] - b[0]).map(([, row]) => row.sort((a, b) => a.left - b.left).map((it) => it.word).join(' '));
}

const squeeze = (text) => text.replace(/\s+/g, ' ').trim();

export async function paper(browser, report) {
  const { context, page } = await open(browser, report, { scheme: 'dark' });
  const headings = await page.$$eval('h2, h3', (all) => all.map((it) => it.textContent));
  const marks = await page.$$eval('article.mark', (all) => all.map((it) => ({
    heading: it.querySelector('h3').innerText, captions: [...it.querySelectorAll('figcaption')].map((caption) => caption.textContent),
  })));
  const captions = await page.$$eval('.photos figcaption', (all) => all.length);
  check('the demonstration has marks with photos', marks.length >= 2 && captions >= 8);
  await page.emulateMedia({ media: 'print' });
  const small = await page.evaluate(() => {
    const out = [];
    for (const element of document.body.querySelectorAll('*')) {
      const text = [...element.childNodes].some((it) => it.nodeType === 3 && it.data.trim());
      // 9 pt are 12 px (CSS Values and Units 4, section 6.2). A drawing is 86 mm wide on paper.
      const scale = element.ownerSVGElement ? (86 / 25.4) * 96 / element.ownerSVGElement.viewBox.baseVal.width : 1;
      const size = parseFloat(getComputedStyle(element).fontSize) * scale;
      if (text && size < 11.99) out.push(`${element.tagName}: ${size} px`);
    }
    return out;
  });
  check('no letter on paper below 9 pt', small);

  for (const [format, [fewest, most]] of Object.entries(PAGES)) {
    const pdf = `${work}/${format}.pdf`;
    await page.pdf({ path: pdf, format, printBackground: false });
    const all = sheets(pdf);
    check(`${format}: ${all.length} sheets`, all.length >= fewest && all.length <= most);
    const cut = all.flatMap((sheet, index) => sheet.words
      .filter((word) => word.left < MARGIN || word.right > sheet.width - MARGIN || word.top < 20 || word.bottom > sheet.height - 10)
      .map((word) => `sheet ${index + 1}: ${word.word} at ${word.left}..${word.right}`));
    check(`${format}: nothing cut off`, cut);
    const texts = all.map((sheet) => squeeze(lines(sheet).join(' ')));
    check(`${format}: each sheet says whose it is, which it is, and that it is a demonstration`, texts
      .map((text, index) => [text, `Page ${index + 1} of ${all.length}`])
      .filter(([text, number]) => !text.includes(number) || !text.includes('XX26 SUV') || !text.includes('Demonstration'))
      .map(([, number]) => number));
    const left = all.flatMap((sheet, index) => {
      const last = squeeze(lines({ words: sheet.words.filter((word) => word.bottom < sheet.height - 45) }).at(-1) ?? '');
      return headings.some((heading) => squeeze(heading) === last || `${last}`.endsWith(` ${squeeze(heading)}`)) ? [`sheet ${index + 1}: ${last}`] : [];
    });
    check(`${format}: no heading left alone at the foot`, left);
    const torn = marks.flatMap(({ heading, captions: below }) => {
      const title = squeeze(heading);
      const on = all.findIndex((sheet) => lines(sheet).map(squeeze).includes(title));
      return below.map((it) => it.match(/^Photo \d+\./)[0]).filter((photo) => on < 0 || !texts[on].includes(photo)).map((photo) => `${title}: ${photo}`);
    });
    check(`${format}: no mark torn from its photos`, torn);
    const images = execFileSync('pdfimages', ['-list', pdf], { encoding: 'utf8' }).trim().split('\n').slice(2).map((line) => line.trim().split(/\s+/)).filter((line) => line[2] === 'image').map((line) => +line[0]);
    const apart = texts.map((text, index) => [(text.match(/Photo \d+\. /g) ?? []).length, images.filter((it) => it === index + 1).length, index + 1]).filter(([told, shown]) => told !== shown);
    check(`${format}: every photo on the sheet of its caption`, apart.map(([told, shown, sheet]) => `sheet ${sheet}: ${told} captions, ${shown} photos`));
    check(`${format}: all ${captions} photos are there`, images.length === captions);
    for (const old of readdirSync(work).filter((it) => it.startsWith(`${format}-`))) rmSync(`${work}/${old}`);
    execFileSync('pdftoppm', ['-r', '80', '-png', pdf, `${work}/${format}`]);
  }
  await context.close();
}
