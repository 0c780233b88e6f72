// All checks of the condition report's page, in order.
import { execFileSync } from 'node:child_process';
import { rmSync, statSync } from 'node:fs';
import { check, close, launch, root, work } from './browser.mjs';
import { source } from './source.mjs';
import { crowded, screens } from './screens.mjs';
import { paper } from './paper.mjs';
import { people } from './people.mjs';
import { goldens } from './goldens.mjs';

const sidelong = `${root}/target/release/sidelong`;
const demo = `${work}/demo`;
rmSync(demo, { recursive: true, force: true });
execFileSync(sidelong, ['demo', demo], { stdio: 'ignore' });
const report = `${demo}/report.html`;

const megabytes = statSync(report).size / 1e6;
check(`an owner's copy is below 5 MB: ${megabytes.toFixed(2)} MB`, megabytes < 5);
source(report);
const browser = await launch();
try {
  await screens(browser, report);
  await crowded(browser, sidelong);
  await paper(browser, report);
  await people(browser, sidelong, report);
  await goldens(browser, report);
} finally {
  await browser.close();
}
close();
