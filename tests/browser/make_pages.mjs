// Makes the pages to be looked at with the program itself, each beside what the program says of
// the same ramp as JSON.
import {execFileSync} from 'node:child_process';
import {copyFileSync, mkdirSync, readFileSync} from 'node:fs';
import {dirname, join} from 'node:path';

/// The local date, so many days from today, as the program reads and prints it.
export function date_from_today(days) {
  const date = new Date();
  date.setDate(date.getDate() + days);
  const two_digits = (number) => String(number).padStart(2, '0');
  return `${date.getFullYear()}-${two_digits(date.getMonth() + 1)}-${two_digits(date.getDate())}`;
}

/// Runs the program; its standard output. Throws where the exit code is not 0.
function run(program, words, folder, environment = {}) {
  const clean = {...process.env, ...environment};
  delete clean.SLOWDAWN_TANK;
  return execFileSync(program, words, {cwd: folder, env: clean, encoding: 'utf8',
                                       maxBuffer: 64 * 1024 * 1024,
                                       stdio: ['ignore', 'pipe', 'pipe']});
}

function run_json(program, words, folder) {
  return JSON.parse(run(program, [...words, '--json'], folder));
}

/// A copy of a folder's files that a tank file may name, so that a logbook lies beside the copy.
function copy_tank(tank, folder) {
  mkdirSync(folder, {recursive: true});
  const copy = join(folder, 'tank.tank.json');
  copyFileSync(tank, copy);
  for (const survey of JSON.parse(readFileSync(tank, 'utf8')).surveys) {
    if (survey.ppfd_file) {
      copyFileSync(join(dirname(tank), survey.ppfd_file), join(folder, survey.ppfd_file));
    }
  }
  return copy;
}

/// The date from which on the next sheet is to be used, by the sheet's own words; undefined where
/// the plan ends on it.
function next_sheet_date(file) {
  return /(?:--date|next one on) (\d{4}-\d{2}-\d{2})/.exec(readFileSync(file, 'utf8'))?.[1];
}

/// The sheets of a plan from a date on, each followed by the one that it announces.
///   most: how many are made
/// Result: {sheets, from, until}; until: the date that is no longer on them; undefined where they
/// reach to the plan's end.
function make_sheets(program, tank, varied, from, most, folder) {
  const sheets = [];
  let date = from;
  while (date && sheets.length < most) {
    const file = join(folder, `sheet-${sheets.length + 1}.html`);
    run(program, ['sheet', tank, ...varied, '--date', date, '-o', file], folder);
    sheets.push(file);
    date = next_sheet_date(file);
  }
  return {sheets, from, until: date};
}

/// Report and sheets of a tank in `folder`, and what they are to say.
///   varied: options that plan, today and report all take
function make_case(program, name, tank, folder,
                   {date, varied = [], limits = {}, is_walked_through = false}) {
  const report = join(folder, `${name}.html`);
  run(program, ['report', tank, ...varied, '--date', date, '-o', report], folder);
  const plan = run_json(program, ['plan', tank, ...varied], folder);
  // Of a followed plan what is past needs no sheet; the sheets to come wait for the looks to come.
  const is_followed = name === 'followed';
  const made = make_sheets(program, tank, varied, is_followed ? date : plan.start,
                           is_followed ? 1 : 12, folder);
  return {
    name,
    date,
    report,
    sheet: made.sheets[0],
    later_sheets: made.sheets.slice(1),
    sheets_from: made.from,
    sheets_until: made.until,
    tank: JSON.parse(readFileSync(tank, 'utf8')),
    version: run(program, ['--version'], folder).split('\n')[0],
    plan,
    today: run_json(program, ['today', tank, ...varied, '--date', date], folder),
    limits,
    is_walked_through,
  };
}

/// A followed plan with looks of many kinds, a day by hand and one look that was taken back;
/// each entry is written on its day.
function follow(program, tank, folder) {
  const log = (days, ...words) =>
      run(program, [...words, tank], folder, {SLOWDAWN_TODAY: date_from_today(days)});
  log(-30, 'follow', '--start', date_from_today(-30));
  log(-30, 'checkin', '--all');
  log(-24, 'checkin', '--all');
  log(-20, 'dialed', 'front bar', '0', 'rear bar', '0');
  log(-18, 'checkin', '--all');
  log(-14, 'checkin', 'chalice', '--colour', '-2', '--note',
      '<b>paler</b> & "tight" \u202e\u001b[31m');
  log(-13, 'checkin', 'torch', '--extension', 'less', '--mucus');
  log(-12, 'checkin', 'torch', '--tissue', 'lost');
  log(-12, 'undo');
  for (const days of [-11, -8, -4, -1]) log(days, 'checkin', '--all');
}

/// The followed case. Its plan goes by the clock's own day: made again if midnight falls between.
function make_followed_case(program, tank_file, folder) {
  for (let attempt = 0;; ++attempt) {
    const place = join(folder, `followed-${attempt}`);
    const tank = copy_tank(tank_file, place);
    const date = date_from_today(0);
    follow(program, tank, place);
    const made = make_case(program, 'followed', tank, place, {date});
    if (date === date_from_today(0)) return made;
  }
}

/// All cases. The first one is the example that the limits of paper are given for.
export function make_cases(program, source, folder) {
  const here = join(source, 'tests', 'browser');
  const example = (name) => join(source, 'examples', name, `${name}.tank.json`);
  const in_own_folder = (name, tank, options) =>
      make_case(program, name, copy_tank(tank, join(folder, name)), join(folder, name), options);
  return [
    in_own_folder('stairwell-reef', example('stairwell-reef'),
                  {date: '2026-12-15', varied: ['--start', '2026-12-01'],
                   limits: {report_pages: 4, sheet_pages: 1, bytes: 300000},
                   is_walked_through: true}),
    in_own_folder('frag-rack', example('frag-rack'),
                  {date: '2027-02-03', varied: ['--start', '2027-01-04', '--every', '7']}),
    in_own_folder('frag-rack-even', example('frag-rack'),
                  {date: '2027-02-03', varied: ['--start', '2027-01-04', '--even']}),
    in_own_folder('quarantine-moves', example('quarantine-moves'),
                  {date: '2027-04-04', varied: ['--start', '2027-03-01']}),
    make_followed_case(program, example('stairwell-reef'), folder),
    in_own_folder('eight-groups', join(here, 'eight-groups.tank.json'),
                  {date: '2026-09-07', limits: {bytes: 300000}}),
    in_own_folder('hostile-names', join(here, 'hostile-names.tank.json'), {date: '2026-10-20'}),
  ];
}
