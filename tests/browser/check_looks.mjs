// How a page looks: nothing wider than the screen, no text cut off, contrast, the rules of
// accessibility and of HTML, and how many sheets of paper it takes.
import {look_at} from './browser.mjs';

const phone = {viewport: {width: 360, height: 740}};
const tablet = {viewport: {width: 768, height: 1024}};
const desk = {viewport: {width: 1280, height: 900}};
/// What stays of 210 mm between margins of 12 mm, at 96 dots an inch.
const paper = {viewport: {width: 703, height: 1040}};

/// WCAG 2.2, success criteria of levels A and AA.
const levels = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

/// Runs in the page. Text that is cut off, stands on other text of its chart or is too small.
///   is_paper: paper cannot be scrolled, and is held closer: letters of 6 points (8 px) will do
function find_cut_text(is_paper) {
  const smallest_px = is_paper ? 8 : 9;
  const findings = [];
  const root = document.scrollingElement;
  const name = (text) => `"${text.trim().replace(/\s+/g, ' ').slice(0, 50)}"`;
  if (root.scrollWidth > root.clientWidth) {
    findings.push(`the page is ${root.scrollWidth} px wide in ${root.clientWidth} px`);
  }
  const is_for_readers_alone = (element) => {
    for (let box = element; box; box = box.parentElement) {
      const {width, height} = box.getBoundingClientRect();
      if (getComputedStyle(box).position === 'absolute' && width <= 1 && height <= 1) return true;
    }
    return false;
  };
  const cut_by = (rect, element) => {
    for (let box = element; box && box !== root && box !== document.body; box = box.parentElement) {
      const style = getComputedStyle(box);
      const scrolls = !is_paper && [style.overflowX, style.overflowY].some(
          (way) => way === 'auto' || way === 'scroll');
      if (scrolls) return null;
      const edge = box.getBoundingClientRect();
      const is_narrow = style.overflowX !== 'visible' &&
          (rect.left < edge.left - 1 || rect.right > edge.right + 1);
      const is_low = style.overflowY !== 'visible' &&
          (rect.top < edge.top - 2 || rect.bottom > edge.bottom + 2);
      if (is_narrow || is_low) return box.localName;
    }
    return rect.left < -1 || rect.right > root.clientWidth + 1 ? 'the screen' : null;
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const text = walker.currentNode;
    const parent = text.parentElement;
    if (!text.data.trim() || parent.closest('script, style, title, desc, template')) continue;
    const is_seen = parent.checkVisibility({visibilityProperty: true});
    if (!is_seen || is_for_readers_alone(parent)) continue;
    const range = document.createRange();
    range.selectNodeContents(text);
    for (const rect of range.getClientRects()) {
      const box = rect.width > 0 ? cut_by(rect, parent) : null;
      if (box) {
        findings.push(`${name(text.data)} is cut off by ${box}`);
        break;
      }
    }
    const scale = parent.getScreenCTM?.()?.a ?? 1;
    const size = parseFloat(getComputedStyle(parent).fontSize) * scale;
    const rounding = 0.01;
    if (size < smallest_px - rounding) {
      findings.push(`${name(text.data)} is ${size.toFixed(1)} px high`);
    }
  }
  for (const svg of document.querySelectorAll('svg')) {
    const texts = [...svg.querySelectorAll('text')]
        .filter((text) => text.checkVisibility({visibilityProperty: true}) &&
                          !/rotate/.test(text.getAttribute('transform') ?? ''))
        .map((text) => [text, text.getBoundingClientRect()]);
    texts.forEach(([one, a], number) => {
      for (const [other, b] of texts.slice(number + 1)) {
        const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
        const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        // Boxes of text are higher than its letters; what touches only there is well apart.
        if (across > 1 && down > 0.4 * Math.min(a.height, b.height)) {
          findings.push(`${name(one.textContent)} stands on ${name(other.textContent)}`);
        }
      }
    });
  }
  return findings;
}

/// Runs in the page. Text whose contrast to what is behind it is under WCAG's 4.5, or 3 for large
/// text (WCAG 2.2, 1.4.3). axe-core leaves text in SVG out; this does not.
///   selector: which elements' own text is looked at
function find_low_contrast(selector) {
  const parse = (colour) => {
    const numbers = (colour.match(/[\d.]+/g) ?? []).map(Number);
    return /^rgba?\(/.test(colour)
        ? {r: numbers[0], g: numbers[1], b: numbers[2], a: numbers[3] ?? 1}
        : null;
  };
  const over = (top, below) => ({
    r: top.r * top.a + below.r * (1 - top.a),
    g: top.g * top.a + below.g * (1 - top.a),
    b: top.b * top.a + below.b * (1 - top.a),
    a: 1,
  });
  // WCAG 2.2, definition of relative luminance.
  const luminance = ({r, g, b}) => {
    const [red, green, blue] = [r, g, b].map((value) => {
      const share = value / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  };
  const paper_of = (element) => {
    const layers = [];
    for (let box = element; box; box = box.parentElement) {
      const colour = parse(getComputedStyle(box).backgroundColor);
      if (colour) layers.push(colour);
    }
    const white = {r: 255, g: 255, b: 255, a: 1};
    return layers.reverse().reduce((below, layer) => over(layer, below), white);
  };
  // Shapes of a chart that lie under the middle of a text and were drawn before it.
  const shapes_under = (text) => {
    const rect = text.getBoundingClientRect();
    const x = (rect.left + rect.right) / 2;
    const y = (rect.top + rect.bottom) / 2;
    return [...text.ownerSVGElement.querySelectorAll('rect, circle, ellipse, polygon, path')]
        .filter((shape) => {
          if (shape.closest('clipPath, mask, marker, pattern, defs')) return false;
          const order = shape.compareDocumentPosition(text);
          if (!(order & Node.DOCUMENT_POSITION_FOLLOWING)) return false;
          const inverse = shape.getScreenCTM()?.inverse();
          return inverse && shape.checkVisibility({visibilityProperty: true}) &&
              shape.isPointInFill(new DOMPoint(x, y).matrixTransform(inverse));
        })
        .map((shape) => {
          const style = getComputedStyle(shape);
          const colour = parse(style.fill);
          return colour && {...colour, a: colour.a * style.fillOpacity * style.opacity};
        })
        .filter((colour) => colour);
  };
  const findings = [];
  for (const element of document.querySelectorAll(selector)) {
    const own = [...element.childNodes].filter((node) => node.nodeType === Node.TEXT_NODE)
        .map((node) => node.data).join('').trim();
    if (!own || !element.checkVisibility({visibilityProperty: true})) continue;
    const style = getComputedStyle(element);
    const is_drawn = element.ownerSVGElement;
    const colour = parse(is_drawn ? style.fill : style.color);
    if (!colour) {
      findings.push(`"${own.slice(0, 40)}" has a colour that is not understood: ${style.fill}`);
      continue;
    }
    const below = (is_drawn ? shapes_under(element) : [])
        .reduce((under, shape) => over(shape, under), paper_of(element));
    const alpha = colour.a * style.opacity * (is_drawn ? style.fillOpacity : 1);
    const front = over({...colour, a: alpha}, below);
    const [high, low] = [luminance(front), luminance(below)].sort((a, b) => b - a);
    const ratio = (high + 0.05) / (low + 0.05);
    const size = parseFloat(style.fontSize);
    const least = size >= 24 || (size >= 18.66 && style.fontWeight >= 700) ? 3 : 4.5;
    if (ratio < least) findings.push(`"${own.slice(0, 40)}" has a contrast of ${ratio.toFixed(2)}`);
  }
  return findings;
}

/// What axe, which is there already, and the contrast of text in charts have against the page.
async function find_barriers(page) {
  const found = await page.evaluate(
      (tags) => window.axe.run(document, {runOnly: {type: 'tag', values: tags},
                                          resultTypes: ['violations']}),
      levels);
  return [
    ...found.violations.flatMap((rule) => rule.nodes.map(
        (node) => `axe ${rule.id}: ${rule.help}: ${node.target.join(' ')}: ` +
            node.html.slice(0, 120))),
    ...await page.evaluate(find_low_contrast, 'svg text, svg tspan'),
  ];
}

const with_label = (label, findings) => findings.map((finding) => `${label}: ${finding}`);

function check_widths({browser}, file) {
  return look_at(browser, file, desk, async (page) => {
    const findings = [];
    for (const [label, {viewport}] of Object.entries({desk, tablet, phone})) {
      await page.setViewportSize(viewport);
      findings.push(...with_label(label, await page.evaluate(find_cut_text, false)));
    }
    return findings;
  });
}

function check_barriers({browser, axe_source}, file) {
  return look_at(browser, file, desk, async (page) => {
    await page.evaluate(axe_source);
    const findings = [];
    for (const [label, {viewport}, colorScheme] of [['light', desk, 'light'],
                                                    ['dark', phone, 'dark']]) {
      await page.setViewportSize(viewport);
      await page.emulateMedia({colorScheme});
      findings.push(...with_label(label, await find_barriers(page)));
    }
    return findings;
  });
}

async function check_html({html_rules}, file) {
  const report = await html_rules.validateFile(file);
  return report.results.flatMap((result) => result.messages).map(
      (message) => `html-validate ${message.ruleId}: ${message.message} ` +
          `(${message.line}:${message.column})`);
}

/// Prints to PDF; its bytes.
export function print(page, format) {
  return page.pdf({format, margin: {top: '10mm', right: '10mm', bottom: '10mm', left: '10mm'}});
}

/// How many pages a PDF of the browser has. It writes its page objects uncompressed.
export function count_pages(pdf) {
  return (pdf.toString('latin1').match(/\/Type\s*\/Page(?![A-Za-z])/g) ?? []).length;
}

/// The colours of paper are those of light mode even where the screen is dark: no ink in the
/// background, and text that reads on white.
async function check_paper({browser}, file, most_pages) {
  return look_at(browser, file, {...paper, colorScheme: 'dark'}, async (page) => {
    await page.emulateMedia({media: 'print', colorScheme: 'dark'});
    const findings = [
      ...await page.evaluate(find_cut_text, true),
      ...await page.evaluate(find_low_contrast, 'body, body *:not(script, style)'),
    ];
    const ground = await page.evaluate(() => ['html', 'body'].map(
        (name) => getComputedStyle(document.querySelector(name)).backgroundColor));
    for (const colour of ground) {
      const [r, g, b, a = 1] = colour.match(/[\d.]+/g).map(Number);
      if (a > 0 && Math.min(r, g, b) < 250) findings.push(`the paper is printed in ${colour}`);
    }
    for (const format of ['A4', 'Letter']) {
      const pages = count_pages(await print(page, format));
      if (pages < 1) findings.push(`${format}: the pages of the PDF could not be counted`);
      if (pages > most_pages) findings.push(`${format}: ${pages} pages and not ${most_pages}`);
    }
    return findings;
  });
}

export const look_checks = [
  {name: 'widths', run: (tools, page_case) => check_widths(tools, page_case.report)},
  {name: 'barriers', run: (tools, page_case) => check_barriers(tools, page_case.report)},
  {name: 'html', run: (tools, page_case) => check_html(tools, page_case.report)},
  {
    name: 'paper',
    run: (tools, page_case) =>
        check_paper(tools, page_case.report, page_case.limits.report_pages ?? Infinity),
  },
  {
    name: 'sheet: widths',
    is_of_sheet: true,
    run: (tools, page_case) => check_widths(tools, page_case.sheet),
  },
  {
    name: 'sheet: barriers',
    is_of_sheet: true,
    run: (tools, page_case) => check_barriers(tools, page_case.sheet),
  },
  {
    name: 'sheet: html',
    is_of_sheet: true,
    run: (tools, page_case) => check_html(tools, page_case.sheet),
  },
  {
    name: 'sheet: paper',
    is_of_sheet: true,
    run: (tools, page_case) =>
        check_paper(tools, page_case.sheet, page_case.limits.sheet_pages ?? Infinity),
  },
];

/// Which pictures are taken: [size, colour scheme].
export const all_pictures = ['light', 'dark'].flatMap(
    (scheme) => [phone, tablet, desk].map((size) => [size, scheme]));
export const phone_picture = [[phone, 'light']];
export const sheet_picture = [[tablet, 'light']];

/// Pictures and the page on paper, for a person to look at.
export function take_pictures({browser}, file, name, folder, pictures) {
  return look_at(browser, file, desk, async (page) => {
    for (const [{viewport}, colorScheme] of pictures) {
      await page.emulateMedia({colorScheme});
      await page.setViewportSize(viewport);
      await page.screenshot({path: `${folder}/${name}-${viewport.width}-${colorScheme}.png`,
                             fullPage: true});
    }
    await page.pdf({path: `${folder}/${name}.pdf`, format: 'A4', preferCSSPageSize: true});
    return [];
  });
}
