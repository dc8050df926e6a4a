#!/usr/bin/env node
// The report page and the sheet in a real browser.
//
//   check_pages.mjs PROGRAM SOURCE_FOLDER OUTPUT_FOLDER [PACKAGES_FOLDER] [CHROMIUM]
//
// Makes the pages of several tanks with PROGRAM, looks at each with every check, tries every check
// on copies with a fault in them, and leaves pictures for a person in OUTPUT_FOLDER.
import {copyFileSync, mkdirSync, mkdtempSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join, resolve} from 'node:path';
import process from 'node:process';

import {fault_count, list_tries} from './broken_copies.mjs';
import {load_packages, start_browser} from './browser.mjs';
import {content_checks} from './check_content.mjs';
import {all_pictures, look_checks, phone_picture, sheet_picture, take_pictures}
  from './check_looks.mjs';
import {use_checks} from './check_use.mjs';
import {make_cases} from './make_pages.mjs';

const most_findings_shown = 20;

/// Runs jobs, so many at a time; their findings in the order of the jobs.
async function run_all(jobs, at_once) {
  const findings = jobs.map(() => null);
  let next = 0;
  const work = async () => {
    while (next < jobs.length) {
      const number = next++;
      try {
        findings[number] = await jobs[number].run();
      } catch (error) {
        findings[number] = [`the check itself broke off: ${error.message}`];
      }
    }
  };
  await Promise.all(Array.from({length: at_once}, work));
  return findings;
}

/// Each finding once, with how often it was there.
function count_alike(findings) {
  const times = new Map();
  for (const finding of findings) times.set(finding, (times.get(finding) ?? 0) + 1);
  return [...times].map(([finding, number]) =>
      (number > 1 ? `${finding} (${number} times)` : finding));
}

function show(jobs, findings) {
  let failures = 0;
  jobs.forEach((job, number) => {
    const found = count_alike(findings[number]);
    if (!found.length) return;
    ++failures;
    console.log(`FAILED  ${job.name}`);
    for (const finding of found.slice(0, most_findings_shown)) console.log(`        ${finding}`);
    const more = found.length - most_findings_shown;
    if (more > 0) console.log(`        and ${more} more`);
  });
  return failures;
}

async function main() {
  const [program, source, output, packages, chromium] = process.argv.slice(2);
  if (!output) {
    console.error('usage: check_pages.mjs PROGRAM SOURCE_FOLDER OUTPUT_FOLDER ' +
                  '[PACKAGES_FOLDER] [CHROMIUM]');
    return 2;
  }
  const folder = mkdtempSync(join(tmpdir(), 'slowdawn-pages-'));
  const {chromium: driver, ...kit} = load_packages(packages ?? join(source, 'build', 'browser'));
  const browser = await start_browser(driver, chromium ?? '/usr/bin/chromium');
  try {
    const tools = {browser, ...kit};
    const cases = make_cases(resolve(program), resolve(source), folder);
    const checks = [...content_checks, ...look_checks, ...use_checks];
    mkdirSync(output, {recursive: true});
    // Of the first tank everything, of the others enough to see what is wrong. A sheet is paper,
    // and the same in light and dark.
    const pages = cases.flatMap(({name, report, sheet}, number) => [
      [report, name, number ? phone_picture : all_pictures],
      [sheet, `${name}-sheet`, sheet_picture],
    ]);
    const jobs = [
      ...cases.flatMap((page_case) => checks.map((check) => ({
        name: `${page_case.name}: ${check.name}`,
        run: () => check.run(tools, page_case),
      }))),
      ...pages.map(([file, name, pictures]) => ({
        name: `${name}: pictures`,
        run: async () => {
          copyFileSync(file, join(output, `${name}.html`));
          await take_pictures(tools, file, name, output, pictures);
          return [];
        },
      })),
    ];
    const findings = await run_all(jobs, 3);
    let failures = show(jobs, findings);
    const healthy = (name) => findings[checks.findIndex((check) => check.name === name)];
    const tries = list_tries(tools, checks, cases[0], healthy);
    failures += show(tries, await run_all(tries, 3));
    console.log(`${cases.length} tanks, ${checks.length} checks of each, ${fault_count} faults ` +
                `to be found: ${failures ? `${failures} failed` : 'all is well'}`);
    console.log(`Pictures, pages and PDF: ${resolve(output)}`);
    return failures ? 1 : 0;
  } finally {
    await browser.close();
    rmSync(folder, {recursive: true, force: true});
  }
}

process.exitCode = await main();
