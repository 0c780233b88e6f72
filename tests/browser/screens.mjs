// The page on screens: reachable by all, nothing beyond the edge, four sizes of type, short lines, numbers in place.
import { readFileSync, writeFileSync } from 'node:fs';
import { check, open, require, work } from './browser.mjs';
import { recorded } from './people.mjs';

const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
/** Web Content Accessibility Guidelines 2.2 (w3.org/TR/WCAG22), A to AAA, with contrast 7:1 (1.4.6). */
const rules = {
  runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag2aaa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] },
  rules: { 'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true } },
  resultTypes: ['violations', 'incomplete'],
};

export async function reachable(page) {
  await page.evaluate(axe);
  const found = await page.evaluate((options) => globalThis.axe.run(document, options), rules);
  const lines = (list) => list.flatMap((it) => it.nodes.map((node) => `${it.id}: ${node.html.slice(0, 120)} ${node.any.map((any) => any.message).join(' ').slice(0, 200)}`));
  return { violations: lines(found.violations), unsure: lines(found.incomplete) };
}

/** Everything that ends beyond the right edge of the window, or makes it scroll. */
export const beyond = () => {
  const wide = document.documentElement.clientWidth, out = [];
  if (document.documentElement.scrollWidth > wide) out.push(`scrolls to ${document.documentElement.scrollWidth} of ${wide}`);
  for (const element of document.body.querySelectorAll('*')) {
    const box = element.getBoundingClientRect();
    if (box.width > 0 && (box.right > wide + 0.6 || box.left < -0.6)) out.push(`${element.tagName}.${element.className.baseVal ?? element.className} ${box.left}..${box.right}`);
  }
  return out;
};

/**
 * Contrast of the drawings, which the tool above cannot tell: letters 7:1, lines that mean something 3:1 (WCAG 2.2,
 * 1.4.6 and 1.4.11; relative luminance as defined there).
 */
const faint = () => {
  const light = (colour) => {
    const [r, g, b] = colour.match(/[\d.]+/g).slice(0, 3).map((it) => it / 255).map((it) => (it <= 0.04045 ? it / 12.92 : ((it + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const paper = light(getComputedStyle(document.body).backgroundColor);
  const ratio = (colour) => (Math.max(light(colour), paper) + 0.05) / (Math.min(light(colour), paper) + 0.05);
  const out = [];
  for (const it of document.querySelectorAll('svg.car text, svg.car path')) {
    const style = getComputedStyle(it), letters = it.tagName === 'text';
    const found = ratio(letters ? style.fill : style.stroke);
    if (!(found >= (letters ? 7 : 3))) out.push(`${it.tagName} ${it.className.baseVal}: ${found.toFixed(1)}`);
  }
  return [...new Set(out)];
};

/** Font sizes of all text, in CSS pixels; a drawing's letters as they come out. */
const sizes = () => {
  const page = new Set(), drawn = new Set();
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim()) continue;
    const size = parseFloat(getComputedStyle(element).fontSize);
    if (element.ownerSVGElement) drawn.add(size * element.getScreenCTM().a);
    else page.add(Math.round(100 * size) / 100);
  }
  return { page: [...page].sort((a, b) => a - b), drawn: [...drawn].sort((a, b) => a - b) };
};

/** Lines of running text with more than `most` letters. */
const long = (most) => {
  const out = [];
  const blocks = [...document.querySelectorAll('p, li, dd, figcaption, .how')].filter((it) => !it.closest('.originals') && !it.querySelector('p, li, dd, .how'));
  for (const block of blocks) {
    const lines = new Map();
    const walker = document.createTreeWalker(block, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const node = walker.currentNode, range = document.createRange();
      for (let at = 0; at < node.data.length; at += 1) {
        range.setStart(node, at);
        range.setEnd(node, at + 1);
        const box = range.getBoundingClientRect();
        if (box.width > 0) {
          const line = Math.round(box.bottom / 8);
          lines.set(line, (lines.get(line) ?? '') + node.data[at]);
        }
      }
    }
    for (const line of lines.values()) if (line.length > most) out.push(`${line.length}: ${line}`);
  }
  return out;
};

/** What is wrong with the labels of the drawings: beyond the paper, on one another, far from their place. */
const labels = (most) => {
  const out = [];
  for (const svg of document.querySelectorAll('svg.car:not(.seen)')) {
    const paper = svg.viewBox.baseVal;
    const boxes = [...svg.querySelectorAll('rect.paper, text.why, path.tick')].map((it) => [it, it.getBBox()]);
    if (boxes.length === 0) out.push('a drawing without labels');
    boxes.forEach(([a, box], index) => {
      const name = a.nextSibling?.textContent || a.textContent || a.className.baseVal;
      if (box.x < paper.x || box.y < paper.y || box.x + box.width > paper.x + paper.width || box.y + box.height > paper.y + paper.height) out.push(`${name} beyond the paper`);
      for (const [b, other] of boxes.slice(index + 1)) {
        if (box.x < other.x + other.width && other.x < box.x + box.width && box.y < other.y + other.height && other.y < box.y + box.height) out.push(`${name} on ${b.nextSibling?.textContent || b.className.baseVal}`);
      }
    });
    const strokes = [...svg.querySelectorAll('path.mark')];
    const numbers = [...svg.querySelectorAll('rect.paper')];
    if (strokes.length !== numbers.length) out.push(`${strokes.length} marks, ${numbers.length} numbers`);
    strokes.forEach((stroke, index) => {
      const a = stroke.getBBox(), b = numbers[index].getBBox();
      const aside = Math.max(0, a.x - b.x - b.width, b.x - a.x - a.width), above = Math.max(0, a.y - b.y - b.height, b.y - a.y - a.height);
      if (Math.hypot(aside, above) > most) out.push(`a number ${Math.hypot(aside, above).toFixed(0)} units from its mark`);
    });
  }
  return out;
};

/** Drawings of what could have been seen: hatched, with strokes that stay on the paper, and no labels to stand on one another. */
const hatching = () => {
  const out = [];
  for (const svg of document.querySelectorAll('svg.car.seen')) {
    const paper = svg.viewBox.baseVal, box = svg.querySelector('path.hatch')?.getBBox();
    if (!box || box.width === 0 || box.height === 0) out.push('a drawing without hatching');
    else if (box.x < paper.x || box.y < paper.y || box.x + box.width > paper.x + paper.width || box.y + box.height > paper.y + paper.height) out.push('hatching beyond the paper');
    if (svg.querySelector('rect.paper, text, path.tick')) out.push('labels on the hatching');
  }
  return out;
};

const pictures = () => [...document.images].filter((it) => it.naturalWidth === 0).map((it) => it.alt);

export async function screens(browser, report) {
  for (const scheme of ['light', 'dark']) {
    for (const width of [320, 393, 1280]) {
      const { context, page, asked, said } = await open(browser, report, { width, scheme });
      const where = `${scheme}, ${width} px`;
      const { violations, unsure } = await reachable(page);
      check(`everyone can read it (${where})`, violations);
      check(`nothing left for a person to judge of contrast (${where})`, unsure.filter((it) => it.startsWith('color-contrast') && !it.includes('<text class=')));
      check(`letters and lines of the drawings stand out (${where})`, await page.evaluate(faint));
      check(`nothing beyond the edge (${where})`, await page.evaluate(beyond));
      check(`it asks for nothing but itself and says nothing (${where})`, [...asked, ...said]);
      check(`every picture is shown (${where})`, await page.evaluate(pictures));
      const type = await page.evaluate(sizes);
      check(`four sizes of type, none below 12 px: ${type.page.join(', ')} (${where})`, type.page.length <= 4 && type.page[0] >= 12);
      check(`letters in drawings at least 12 px: ${type.drawn[0]?.toFixed(1)} (${where})`, type.drawn.length > 0 && type.drawn[0] >= 11.99);
      if (scheme === 'light') check(`numbers stand free and near their place (${where})`, await page.evaluate(labels, 40));
      if (scheme === 'light') check(`hatching stays on the drawing (${where})`, await page.evaluate(hatching));
      if (width === 1280) check(`lines of about 70 letters (${where})`, await page.evaluate(long, 76));
      await context.close();
    }
  }
  const { context, page } = await open(browser, report, { width: 320 });
  await page.addStyleTag({ content: 'html { font-size: 200%; }' });
  check('nothing beyond the edge with letters twice as large (320 px)', await page.evaluate(beyond));
  await context.close();
  await controls(browser, report);
}

/** Forty marks on one vehicle, as on a hired van: their numbers still stand free. Places by a seeded sequence. */
export async function crowded(browser, sidelong) {
  const panels = ['bonnet', 'front-left-fender', 'front-left-door', 'rear-left-door', 'rear-left-quarter', 'tailgate', 'rear-bumper',
    'front-bumper', 'roof', 'front-right-door', 'rear-right-door', 'right-sill', 'left-sill', 'front-left-wheel', 'rear-right-wheel', 'windscreen'];
  const words = { 'left-mirror': 'wet', 'right-mirror': 'blocked', 'front-right-fender': 'dark', 'rear-screen': 'dirt' };
  let seed = 4, count = 0;
  // Numerical Recipes in C, 2nd edition, section 7.1: a quick generator.
  const next = () => { seed = (1664525 * seed + 1013904223) >>> 0; return seed / 2 ** 32; };
  const id = () => `019eab2e-0000-7000-8000-${(count += 1).toString(16).padStart(12, '0')}`;
  const job = id(), lines = [];
  const act = (name, body) => lines.push(JSON.stringify({ input: id(), job, act: { [name]: body } }));
  act('open_job', { form: 'suv', finish: 'metallic', scope: ['outside', 'wheels', 'inside'], plate: 'AB12 CDE' });
  act('begin_walk', { stage: 'as-found' });
  for (let mark = 0; mark < 40; mark += 1) {
    const from = { u_ppm: Math.round(1e5 + 8e5 * next()), v_ppm: Math.round(1e5 + 8e5 * next()) };
    const to = { u_ppm: Math.round(from.u_ppm + 9e4 * next()), v_ppm: Math.round(from.v_ppm + 9e4 * next()) };
    act('record_mark', { mark: { panel: panels[Math.floor(panels.length * next())], from, to, kind: 'scratch', length_um: 20000, measured: 'by-eye' } });
  }
  act('record_mark', { mark: { panel: 'driver-seat', from: { u_ppm: 1, v_ppm: 1 }, kind: 'stain' } });
  for (const [panel, why] of Object.entries(words)) act('record_outcome', { panel, outcome: 'could-not-see', why });
  const { context, page } = await open(browser, recorded(sidelong, 'crowded', { job, text: `${lines.join('\n')}\n` }), { width: 320 });
  check('numbers of 40 marks stand free and near their place', await page.evaluate(labels, 56));
  const counted = await page.evaluate(() => [document.querySelectorAll('svg.car rect.paper').length, document.querySelectorAll('svg.car text.why').length]);
  check(`40 numbers and 4 words: ${counted}`, counted[0] === 40 && counted[1] === 4);
  check('a mark that no drawing shows is named', (await page.innerText('figure.folded figcaption')).includes('Not in this drawing: 41.'));
  check('nothing beyond the edge with 40 marks (320 px)', await page.evaluate(beyond));
  await context.close();
}

/** The checks themselves, on pages that are wrong. */
async function controls(browser, report) {
  const wrong = `${work}/wrong.html`;
  // Grey of 5.7:1: enough for level AA, not for AAA.
  const body = '<main><h1>x</h1><p style="color:#666;width:500px;font-size:9px">grey</p><img src="http://127.0.0.1:9/x.png"><svg class="car" viewBox="0 0 9 9"></svg></main>';
  writeFileSync(wrong, `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>x</title></head><body>${body}</body></html>`);
  const { context, page, asked } = await open(browser, wrong, { width: 320 });
  const { violations } = await reachable(page);
  const rulesHit = new Set(violations.map((it) => it.split(':')[0]));
  check('a page that is wrong is found wrong: contrast, a picture without words', ['color-contrast-enhanced', 'image-alt'].filter((it) => !rulesHit.has(it)).map((it) => `${it} not among ${[...rulesHit]}`));
  check('a page that is wrong is found wrong: edge, size, request, drawing',
    (await page.evaluate(beyond)).length > 0 && (await page.evaluate(sizes)).page[0] < 12 && asked.some((it) => it.startsWith('http:')) && (await page.evaluate(labels, 40)).length > 0);
  await context.close();
  const wide = await open(browser, report, { width: 1280 });
  await wide.page.addStyleTag({ content: 'body { max-width: none } p, ul, li { max-width: none !important }' });
  check('a page that is wrong is found wrong: long lines', (await wide.page.evaluate(long, 76)).length > 0);
  await wide.context.close();
}
