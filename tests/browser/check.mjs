// All checks of the condition report's page, in order.
import { execFileSync } from 'node:child_process';
import { rmSync, statSync } from 'node:fs';
import { check, close, launch, root, work } from './browser.mjs';
import { source } from './source.mjs';
import { crowded, screens } from './screens.mjs';
import { paper } from './paper.mjs';
import { people } from './people.mjs';
import { proof } from './proof.mjs';
import { goldens } from './goldens.mjs';

const sidelong = `${root}/target/release/sidelong`;
const demo = `${work}/demo`;
rmSync(demo, { recursive: true, force: true });
execFileSync(sidelong, ['demo', demo], { stdio: 'ignore' });
const reports = ['saloon', 'suv', 'van'].map((name) => `${demo}/${name}.html`);
// The fullest of the three is looked at in every way.
const report = reports[1];

for (const page of reports) {
  const megabytes = statSync(page).size / 1e6;
  check(`an owner's copy is below 5 MB: ${megabytes.toFixed(2)} MB`, megabytes < 5);
  source(page);
}
const browser = await launch();
try {
  for (const page of reports) await screens(browser, page);
  await crowded(browser, sidelong);
  await paper(browser, report);
  await people(browser, sidelong, report);
  await proof(browser, sidelong, demo);
  await goldens(browser, report);
} finally {
  await browser.close();
}
close();
