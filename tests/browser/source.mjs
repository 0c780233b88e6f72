// The page as text: what the HTML checker says, and that it names nothing outside itself.
import { spawnSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { check, work } from './browser.mjs';

/** Messages of the Nu Html Checker (github.com/validator/validator), the one behind validator.w3.org/nu. */
function nu(path) {
  const jar = `${work}/node_modules/vnu-jar/build/dist/vnu.jar`;
  const done = spawnSync('java', ['-Xss4m', '-jar', jar, '--format', 'json', path], { encoding: 'utf8', maxBuffer: 1 << 26 });
  const answer = `${done.stdout}${done.stderr}`.trim();
  if (!answer.startsWith('{')) throw new Error(`no answer of the checker: ${answer.slice(0, 400)}`);
  return JSON.parse(answer).messages;
}

/** `scripts`: those of a bundle's page, which checks itself; no other page has any. */
export function source(report, scripts = 0) {
  const messages = nu(report)
    // The checker's matcher of the policy knows no `data:` pictures, whatever the policy says; that each picture of the
    // page is shown under the policy is asked of the browser (screens.mjs); nor the hash of a script (proof.mjs).
    .filter((it) => scripts === 0 || !/^Inline script violates Content Security Policy/.test(it.message))
    // Its list of properties is older than SVG 2, section 13.7 (https://www.w3.org/TR/SVG2/painting.html#PaintOrder).
    .filter((it) => !/^CSS: “paint-order”: Property “paint-order” doesn't exist/.test(it.message))
    .filter((it) => !/^Resource violates Content Security Policy .*image “data:image\/jpeg;base64,/.test(it.message));
  check('the HTML checker finds no error and has no warning', messages.map((it) => `${it.lastLine}: ${it.message}`));

  const bad = `${work}/bad.html`;
  writeFileSync(bad, '<!DOCTYPE html><html lang="en"><head><title>x</title></head><body><img src="data:,"><p></div></body></html>');
  check('the HTML checker is heard when a page is wrong', nu(bad).length >= 2);

  const whole = readFileSync(report, 'utf8').replace(/base64,[A-Za-z0-9+/=]+/g, 'base64,');
  const text = scripts === 0 ? whole : whole.replace(/<script[^]*?<\/script>/g, '');
  check(`${scripts} scripts`, (whole.match(/<script/gi) ?? []).length === scripts);
  const never = [/<script/i, /<iframe/i, /<object/i, /<embed/i, /<form/i, /<base/i, /@import/i, /url\(/i, /javascript:/i,
    /\son[a-z]+\s*=/i, /http-equiv="refresh"/i, /\ssrcset=/i, /\sxlink:/i];
  check('no script, no frame, no form, nothing to load', never.filter((it) => it.test(text)));
  const addresses = [...text.matchAll(/[a-z]+:\/\/[^"'\s<>]*/gi)].map((it) => it[0]).filter((it) => it !== 'http://www.w3.org/2000/svg');
  check('no address of anywhere else', addresses);
  const targets = [...text.matchAll(/\s(?:href|src)="([^"]*)"/g)].map((it) => it[1]).filter((it) => !/^(#mark-|data:)/.test(it));
  check('links lead only within the page', targets);
}
