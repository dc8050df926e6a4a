// What a page says: its sections, its numbers against the program's JSON, its names.
import {look_at} from './browser.mjs';
import {shows, to_safe_name} from './numbers.mjs';
import {statSync} from 'node:fs';

export const sections = ['today', 'day', 'dials', 'groups', 'tank', 'steps', 'looks', 'caps',
                         'cautions', 'made'];

const names_of_groups = (page_case) => page_case.tank.groups.map((group) => group.name);

/// A text found under a name that is either the name itself or its safe form.
function text_under(texts, name) {
  const found = texts.filter(([key]) => key === name || key === to_safe_name(name));
  return found.length === 1 ? found[0][1] : undefined;
}

/// Compares [name, text] pairs with the dials of a day. A light that the day does not name may
/// only be said to be off.
export function compare_dials(where, texts, dials) {
  const findings = [];
  for (const [name, dial] of Object.entries(dials)) {
    const text = text_under(texts, name);
    if (!shows(text, dial, 'dial')) {
      findings.push(`${where}: ${name} is "${text}" and not ${dial} %`);
    }
  }
  const known = Object.keys(dials).flatMap((name) => [name, to_safe_name(name)]);
  for (const [key, text] of texts) {
    if (!known.includes(key) && /[1-9]/.test(text)) {
      findings.push(`${where}: ${key} is "${text}", but the day does not name it`);
    }
  }
  return findings;
}

/// The day panel as a reader sees it: {date, lights: [[name, text]], groups: [[name, dose, peak]]}.
export function read_panel(page) {
  return page.evaluate(() => {
    // What is not shown would still have its innerText.
    const seen = (element) => (element?.checkVisibility() ? element.innerText : '');
    return {
      date: seen(document.querySelector('#day-date')),
      lights: [...document.querySelectorAll('#day [data-day-light]')]
          .map((light) => [light.dataset.dayLight, seen(light)]),
      groups: [...document.querySelectorAll('#day [data-day-group]')]
          .map((group) => [group.dataset.dayGroup, seen(group.querySelector('.dose')),
                           seen(group.querySelector('.peak'))]),
    };
  });
}

/// The number of the day that a panel shows; -1 where it shows none of the plan.
export function day_of_panel(panel, plan) {
  const date = /\d{4}-\d{2}-\d{2}/.exec(panel.date)?.[0];
  return plan.days.findIndex((day) => day.date === date);
}

/// Compares every number of a panel with the day that it names.
export function compare_panel(panel, plan) {
  const number = day_of_panel(panel, plan);
  if (number < 0) return [`day panel: "${panel.date}" is no date of the plan`];
  const day = plan.days[number];
  const where = `day panel of ${day.date}`;
  const findings = compare_dials(where, panel.lights, day.dials);
  if (panel.groups.length !== day.groups.length) {
    findings.push(`${where}: ${panel.groups.length} groups and not ${day.groups.length}`);
  }
  for (const group of day.groups) {
    const dose = text_under(panel.groups.map(([name, text]) => [name, text]), group.name);
    const peak = text_under(panel.groups.map(([name, , text]) => [name, text]), group.name);
    if (!shows(dose, group.dose, 'dose')) {
      findings.push(`${where}: the dose of ${group.name} is "${dose}" and not ${group.dose}`);
    }
    if (!shows(peak, group.peak, 'peak')) {
      findings.push(`${where}: the peak of ${group.name} is "${peak}" and not ${group.peak}`);
    }
  }
  return findings;
}

/// Every value of `part` must stand in `whole` under the same key, to the last bit.
function compare_exactly(where, part, whole) {
  if (part === null || typeof part !== 'object') {
    return Object.is(part, whole) ? [] : [`${where} is ${part} and not ${whole}`];
  }
  if (whole === null || typeof whole !== 'object' || Array.isArray(part) !== Array.isArray(whole)) {
    return [`${where} is not of the same shape`];
  }
  if (Array.isArray(part) && part.length !== whole.length) {
    return [`${where} has ${part.length} entries and not ${whole.length}`];
  }
  return Object.keys(part).flatMap((key) => {
    if (!Object.hasOwn(whole, key)) return [`${where}.${key} is not in the plan`];
    return compare_exactly(`${where}.${key}`, part[key], whole[key]);
  });
}

function compare_plan_data(text, plan) {
  let data;
  try {
    data = JSON.parse(text);
  } catch (error) {
    return [`plan-data: ${error.message}`];
  }
  if (!Array.isArray(data.days)) return ['plan-data: there is no list of days'];
  const findings = [];
  data.days.forEach((day, number) => {
    const missing = (object, keys) => keys.filter((key) => !Object.hasOwn(object, key));
    const of_day = missing(day, ['date', 'dials', 'groups', 'held_by']);
    if (of_day.length) findings.push(`plan-data: day ${number} is without ${of_day}`);
    for (const group of day.groups ?? []) {
      const of_group = missing(group, ['name', 'dose', 'peak']);
      if (of_group.length) findings.push(`plan-data: a group of day ${number} lacks ${of_group}`);
    }
  });
  // Only what the two have in common is compared: the page may carry more, for its panel.
  const shared = data.days.map((day, number) => {
    const planned = plan.days[number] ?? {};
    const pick = (from, like) =>
        Object.fromEntries(Object.entries(from).filter(([key]) => Object.hasOwn(like, key)));
    return {...pick(day, planned),
            groups: (day.groups ?? []).map(
                (group, g) => pick(group, {name: '', dose: 0, peak: 0,
                                           ...(planned.groups ?? [])[g]}))};
  });
  return [...findings, ...compare_exactly('plan-data', shared, plan.days)];
}

/// Whether every light goes on from the day before by its daily share of an even plan's way.
function goes_on_evenly({even, days}, number) {
  if (!even?.days || number === 0) return false;
  return Object.entries(even.to).every(([light, end]) => {
    const daily = (end - even.from[light]) / even.days;
    const turned = days[number].dials[light] - days[number - 1].dials[light];
    return Math.abs(turned - daily) < 1e-6;
  });
}

/// The stretches of a plan, each {day, reached}: the day on which something is to be set or moved
/// (the first one, those with other dials than the day before, those with a move) and, for a ramp
/// that the light runs by itself, the day at its end.
function list_stretches(plan) {
  const moves = new Set((plan.moves ?? []).map((move) => move.date));
  const stretches = [];
  let reached = 0;
  plan.days.forEach((day, number) => {
    const turns = number > 0 &&
        JSON.stringify(day.dials) !== JSON.stringify(plan.days[number - 1].dials);
    const goes_on = turns && reached === number - 1 && goes_on_evenly(plan, number);
    if (number === 0 || moves.has(day.date) || (turns && !goes_on)) {
      stretches.push({day, reached: day});
      reached = number;
    }
    if (goes_on) {
      stretches.at(-1).reached = day;
      reached = number;
    }
  });
  return stretches;
}

export const days_of_steps = (plan) => list_stretches(plan).map(({day}) => day);

/// A dial chart draws a step with three pieces at the most (up, along, and the slope of an even
/// ramp), and never the days of a slope one by one.
function compare_dial_lines(lines, plan) {
  const most = 3 * list_stretches(plan).length;
  return lines.map((path) => path.match(/[A-Za-z]/g)?.length ?? 0)
      .filter((pieces) => pieces === 0 || pieces > most)
      .map((pieces) => `dials: a line has ${pieces} pieces, where ${most} are the most`);
}

function compare_steps(rows, plan) {
  const expected = list_stretches(plan);
  const findings = [];
  const listed = rows.map(([date]) => date).join(' ');
  const wanted = expected.map(({day}) => day.date).join(' ');
  if (listed !== wanted) findings.push(`steps: the rows are of ${listed} and not of ${wanted}`);
  for (const [date, cells, text] of rows) {
    const day = plan.days.find((planned) => planned.date === date);
    if (!day) continue;
    findings.push(...compare_dials(`steps: row of ${date}`, cells, day.dials));
    if (!text.includes(date)) findings.push(`steps: the row of ${date} does not show its date`);
    const reached = expected.find((stretch) => stretch.day === day)?.reached ?? day;
    if (reached === day) continue;
    if (!cells.some(([, cell]) => cell.includes(reached.date))) {
      findings.push(`steps: the row of ${date} does not say that it goes on until ${reached.date}`);
    }
    findings.push(...compare_dials(
        `steps: end of the row of ${date}`,
        cells.map(([light, cell]) => [light, cell.split(/ evenly to /).at(-1)]), reached.dials));
  }
  return findings;
}

/// Reads what stands on the page without any hand laid on it.
function read_page(page) {
  return page.evaluate(() => {
    const seen = (element) => (element?.checkVisibility() ? element.innerText : '');
    const all = (selector, from = document) => [...from.querySelectorAll(selector)];
    const data = document.querySelector('script#plan-data');
    return {
      sections: all('section[id]').map((section) => section.id),
      texts: Object.fromEntries(all('section[id]').map((section) => [section.id, seen(section)])),
      today: all('#today [data-today-light]').map((e) => [e.dataset.todayLight, seen(e)]),
      plan_data: data?.textContent ?? '',
      plan_data_type: data?.type ?? '',
      steps: all('#steps table#steps-table tr[data-date]').map((row) => [
        row.dataset.date,
        all('td[data-light]', row).map((cell) => [cell.dataset.light, seen(cell)]),
        seen(row),
      ]),
      dial_lines: all('#dials path.dial-line').map((line) => line.getAttribute('d')),
      dial_charts: all('#dials figure.chart svg[role=img]')
          .filter((e) => e.checkVisibility()).length,
      group_charts: all('#groups figure.chart').filter((e) => e.querySelector('svg[role=img]'))
          .map((figure) => figure.textContent),
      maps: all('#tank svg').filter((e) => e.checkVisibility()).length,
      heading: seen(document.querySelector('h1')),
    };
  });
}

function compare_page(read, page_case) {
  const {plan, today} = page_case;
  const findings = [];
  const order = read.sections.filter((id) => sections.includes(id));
  if (order.join() !== sections.join()) {
    findings.push(`sections: ${order} and not ${sections}`);
  }
  for (const id of order) {
    if (!read.texts[id].trim()) findings.push(`sections: ${id} is empty`);
  }
  findings.push(...compare_dials('today', read.today, today.dials));
  if (!read.today.length) findings.push('today: there is no setting');
  if (today.next && !read.texts.today?.includes(today.next.date)) {
    findings.push(`today: the next date, ${today.next.date}, is not named`);
  }
  if (read.plan_data_type !== 'application/json') findings.push('plan-data: it has another type');
  findings.push(...compare_plan_data(read.plan_data, plan));
  findings.push(...compare_steps(read.steps, plan));
  if (!read.dial_charts) findings.push('dials: there is no chart');
  findings.push(...compare_dial_lines(read.dial_lines, plan));
  if (!read.maps) findings.push('tank: there is no map');
  const groups = names_of_groups(page_case);
  if (read.group_charts.length !== groups.length) {
    findings.push(`groups: ${read.group_charts.length} charts and not ${groups.length}`);
  }
  const spaced = (text) => text.replace(/\s+/g, ' ');
  groups.forEach((name) => {
    const safe = spaced(to_safe_name(name));
    if (!read.group_charts.some((text) => spaced(text).includes(safe))) {
      findings.push(`groups: no chart is of ${safe}`);
    }
    if (!spaced(read.texts.looks ?? '').includes(safe)) findings.push(`looks: ${safe} is missing`);
  });
  for (const light of Object.keys(today.dials)) {
    if (!spaced(read.texts.dials ?? '').includes(spaced(to_safe_name(light)))) {
      findings.push(`dials: ${to_safe_name(light)} is not named`);
    }
  }
  for (const word of [page_case.version, page_case.date, plan.start]) {
    if (!read.texts.made?.includes(word)) findings.push(`made: ${word} is not named`);
  }
  if (!spaced(read.heading).includes(spaced(to_safe_name(plan.tank)))) {
    findings.push('the heading does not name the tank');
  }
  return findings;
}

/// Marks that must not come from a name: control characters, bidirectional marks, separators.
function find_marks() {
  const findings = [];
  const marks = new RegExp('[\\u0000-\\u0008\\u000b-\\u001f\\u007f-\\u009f\\u061c\\u200e\\u200f' +
                           '\\u2028-\\u202e\\u2066-\\u2069]', 'u');
  const walker = document.createTreeWalker(document.documentElement,
                                           NodeFilter.SHOW_TEXT | NodeFilter.SHOW_ELEMENT);
  for (let node = walker.currentNode; node; node = walker.nextNode()) {
    if (node.nodeType === Node.TEXT_NODE) {
      if (node.parentElement.localName === 'script') continue;
      if (marks.test(node.data)) findings.push(`a mark stands in "${node.data.slice(0, 60)}"`);
      continue;
    }
    for (const {name, value} of node.attributes) {
      if (!name.startsWith('data-') && marks.test(value)) {
        findings.push(`a mark stands in ${node.localName} ${name}="${value.slice(0, 60)}"`);
      }
    }
  }
  return findings;
}

/// Addresses of anything that a page would fetch, now or once something is hovered or opened.
function find_addresses() {
  const findings = [];
  const is_own = (value) => value === '' || value.startsWith('#') || value.startsWith('data:');
  for (const element of document.querySelectorAll('*')) {
    for (const {name, value} of element.attributes) {
      const fetches = ['src', 'srcset', 'poster', 'data', 'action', 'formaction', 'background',
                       'manifest', 'ping', 'href', 'xlink:href'].includes(name);
      if (fetches && !is_own(value.trim())) {
        findings.push(`${element.localName} has the address ${name}="${value.slice(0, 80)}"`);
      }
    }
    const style = `${element.getAttribute('style') ?? ''} ` +
        (element.localName === 'style' ? element.textContent : '');
    for (const [, address] of style.matchAll(/url\(\s*['"]?([^'")]*)/gi)) {
      if (!is_own(address)) findings.push(`a style has the address ${address.slice(0, 80)}`);
    }
    if (/@import/i.test(style)) findings.push('a style imports another');
    if ([...element.attributes].some(({name}) => name.startsWith('on'))) {
      findings.push(`${element.localName} has a script in an attribute`);
    }
  }
  return findings;
}

/// The texts of a sheet's rows and of its heads.
function read_sheet(page) {
  return page.evaluate(() => {
    const flat = (element) => element.innerText.replace(/\s+/g, ' ');
    return {
      // Rows that only say more of the one above may name other dates.
      rows: [...document.querySelectorAll('tr:has(th[scope=row])')].map(flat),
      heads: [...document.querySelectorAll('th')].map(flat),
    };
  });
}

/// A name as it may stand at the head of a narrow column: whole, or with its middle cut out
/// and marked as such.
function is_head_of(head, name) {
  const least = 15;
  if (head === name) return true;
  if (head.length < least || head.length >= name.length) return false;
  const cut = [...head.matchAll(/(?=\.\.)/g)].map((match) => match.index);
  return cut.some((at) => name.startsWith(head.slice(0, at)) && name.endsWith(head.slice(at + 2)));
}

/// The sheets together have a row for every step from their date on, in order, with its dials;
/// each of them has a column for every group.
async function check_sheets(browser, page_case) {
  const read = [];
  const findings = [];
  for (const file of [page_case.sheet, ...page_case.later_sheets]) {
    findings.push(...await look_at(browser, file, {}, async (page) => {
      read.push(await read_sheet(page));
      return [...await page.evaluate(find_addresses), ...await page.evaluate(find_marks)];
    }));
  }
  const rows = read.flatMap((sheet) => sheet.rows)
      .map((text) => ({date: /\d{4}-\d{2}-\d{2}/.exec(text)?.[0], text}))
      .filter((row) => row.date);
  rows.forEach((row, number) => {
    if (number && row.date <= rows[number - 1].date) {
      findings.push(`sheet: ${row.date} comes after ${rows[number - 1].date}`);
    }
  });
  for (const row of rows) {
    const day = page_case.plan.days.find((planned) => planned.date === row.date);
    const shown = row.text.match(/\d+(\.\d+)?(?= ?%)/g) ?? [];
    for (const [light, dial] of Object.entries(day?.dials ?? {})) {
      if (!shown.some((number) => shows(number, dial, 'dial'))) {
        findings.push(`sheet: the row of ${row.date} does not show ${dial} % for ${light}`);
      }
    }
  }
  const {sheets_from, sheets_until = '9999-12-31'} = page_case;
  if (rows.at(-1)?.date >= sheets_until) {
    findings.push(`sheet: a row of ${rows.at(-1).date} is for the next sheet, of ${sheets_until}`);
  }
  for (const day of days_of_steps(page_case.plan)) {
    if (day.date < sheets_from || day.date >= sheets_until) continue;
    if (!rows.some((row) => row.date === day.date)) {
      findings.push(`sheet: no row of ${day.date}`);
    }
  }
  for (const name of names_of_groups(page_case)) {
    const safe = to_safe_name(name).replace(/\s+/g, ' ');
    if (!read.every((sheet) => sheet.heads.some((head) => is_head_of(head, safe)))) {
      findings.push(`sheet: ${safe} has no column`);
    }
  }
  return findings;
}

export const content_checks = [
  {
    name: 'content',
    run: ({browser}, page_case) => look_at(browser, page_case.report, {}, async (page) => [
      ...compare_page(await read_page(page), page_case),
      ...compare_panel(await read_panel(page), page_case.plan),
      ...await page.evaluate(find_addresses),
      ...await page.evaluate(find_marks),
    ]),
  },
  {
    name: 'content without scripts',
    run: ({browser}, page_case) =>
        look_at(browser, page_case.report, {javaScriptEnabled: false}, async (page) => [
          ...compare_page(await read_page(page), page_case),
          ...compare_panel(await read_panel(page), page_case.plan),
        ]),
  },
  {
    name: 'size',
    run: async (_, page_case) => {
      const bytes = statSync(page_case.report).size;
      const most = page_case.limits.bytes ?? Infinity;
      return bytes < most ? [] : [`the page has ${bytes} bytes, and is to have under ${most}`];
    },
  },
  {
    name: 'sheet: content',
    is_of_sheet: true,
    run: ({browser}, page_case) => check_sheets(browser, page_case),
  },
];
