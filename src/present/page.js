// Walks the days of the plan: a day that is pointed at in a chart, or reached
// with the arrow keys, is marked in every chart and shown in the day's panel.
(() => {
  "use strict";
  const { days } = JSON.parse(document.getElementById("plan-data").textContent);
  const panel = document.getElementById("day");
  if (!panel || days.length === 0) return;
  const inPanel = (selector) => [...panel.querySelectorAll(selector)];
  const date = document.getElementById("day-date");
  const held = document.getElementById("day-held");
  const said = document.getElementById("day-said");
  const capWords = JSON.parse(held.dataset.caps);
  const dialCells = inPanel("[data-day-light]");
  const channelCells = inPanel("[data-day-channels]");
  const groupRows = inPanel("[data-day-group]");
  // Names as the page writes them: those of the data may turn the writing.
  const groupNames = groupRows.map((row) => row.querySelector("th").textContent);
  const lightNames = inPanel("dt").map((name) => name.textContent);
  // The page's form of a name of the data. Dials are found by name: an object
  // has its own order where names are numbers, and a day that was dialled by hand
  // may have more lights.
  const shownName = (name) =>
    name
      .replace(/[\p{Cc}\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069]/gu, (c) => {
        const point = c.codePointAt(0).toString(16).toUpperCase().padStart(4, "0");
        return `<U+${point}>`;
      })
      .replace(/\p{Noncharacter_Code_Point}/gu, "\ufffd");
  const dialsOf = (day) => {
    const shownDials = new Map(Object.entries(day.dials).map(([k, dial]) => [shownName(k), dial]));
    return lightNames.map((name) => shownDials.get(name));
  };

  // With so many digits after the point; of two that are as near, the even one,
  // as the program rounds.
  const fixed = (value, digits) => {
    const upper = value.toFixed(digits);
    const isTie = (value * 2 ** (digits + 1)) % 2 === 1;
    const isOdd = Number(upper.at(-1)) % 2 === 1;
    return isTie && isOdd ? (Number(upper) - 10 ** -digits).toFixed(digits) : upper;
  };
  const doseText = (dose) => fixed(dose, dose < 0.995 ? 2 : 1);
  const peakText = (peak) => fixed(peak, peak < 9.95 ? 1 : 0);
  const dialText = (dial) => {
    const digits = fixed(dial, 2);
    return `${digits.includes(".") ? digits.replace(/\.?0+$/, "") : digits} %`;
  };
  const channelsText = (day, light) => {
    const ofLight = Object.entries(day.channels ?? {}).find(([name]) => shownName(name) === light);
    return Object.entries(ofLight?.[1] ?? {})
      .map(([name, dial]) => `${shownName(name)} ${dialText(dial).replace(" %", "")}`)
      .join(", ");
  };
  const heldText = ({ held_by: by, groups }, number) => {
    if (!by) return "The goal";
    const ofDay = capWords.days?.[number];
    if (ofDay) return `Not further: ${ofDay}`;
    const words = capWords[by.cap];
    const name = groupNames[groups.findIndex((group) => group?.name === by.group)];
    return by.group === null ? `Not further: ${words}` : `Not further: ${name} (${words})`;
  };

  const figures = [...document.querySelectorAll("figure.chart")];
  const charts = figures.map((figure) => {
    const svg = figure.querySelector("svg[role=img]");
    const readout = document.createElement("p");
    readout.className = "readout";
    figure.querySelector("figcaption").append(readout);
    figure.tabIndex = 0;
    const isDial = figure.classList.contains("dial");
    // "group-3-title": a group that was there on no day has no chart.
    const number = Number(/\d+/.exec(svg.getAttribute("aria-labelledby"))[0]);
    const left = Number(svg.dataset.left);
    const right = Number(svg.dataset.right);
    return { figure, svg, readout, isDial, number, left, right, mark: svg.querySelector(".mark") };
  });
  const valueIn = (chart, day) => {
    if (chart.isDial) return dialText(dialsOf(day)[chart.number]);
    const group = day.groups[chart.number];
    if (!group) return "not there";
    const usable = "usable_dose" in group ? `, usable ${doseText(group.usable_dose)}` : "";
    return `dose ${doseText(group.dose)}${usable}, used to ${doseText(group.acclimated_dose)}`;
  };

  let shown = Math.max(0, days.findIndex((day) => day.date === date.textContent));

  function show(number) {
    shown = Math.min(Math.max(number, 0), days.length - 1);
    const day = days[shown];
    const dials = dialsOf(day);
    date.textContent = day.date;
    held.textContent = heldText(day, shown);
    dialCells.forEach((cell, i) => {
      cell.textContent = dialText(dials[i]);
    });
    channelCells.forEach((cell) => {
      const light = cell.parentElement.querySelector("dt").textContent;
      const isLit = dials[lightNames.indexOf(light)] > 0;
      cell.textContent = isLit ? channelsText(day, light) : "";
    });
    groupRows.forEach((row, i) => {
      row.hidden = !day.groups[i];
      if (row.hidden) return;
      row.querySelector(".dose").textContent = doseText(day.groups[i].dose);
      const usable = row.querySelector(".usable");
      if (usable) usable.textContent = doseText(day.groups[i].usable_dose);
      row.querySelector(".used").textContent = doseText(day.groups[i].acclimated_dose);
      row.querySelector(".peak").textContent = peakText(day.groups[i].peak);
    });
    for (const chart of charts) {
      const x = chart.left + ((chart.right - chart.left) * (shown + 0.5)) / days.length;
      chart.mark.setAttribute("transform", `translate(${x.toFixed(1)} 0)`);
      chart.readout.textContent = `${day.date}: ${valueIn(chart, day)}`;
    }
    for (const button of inPanel("[data-walk]")) {
      const next = shown + Number(button.dataset.walk);
      button.disabled = next < 0 || next >= days.length;
    }
  }

  function walkTo(number, chart) {
    show(number);
    document.body.classList.add("walking");
    const day = days[shown];
    const dials = dialsOf(day).map((dial, i) => `${lightNames[i]} ${dialText(dial)}`);
    const where = chart && !chart.isDial ? `. ${groupNames[chart.number]}: ` : "";
    said.textContent =
      `${day.date}: ${dials.join(", ")}${where}${where ? valueIn(chart, day) : ""}. ` +
      heldText(day, shown);
  }

  function dayAt(chart, event) {
    const box = chart.svg.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * chart.svg.viewBox.baseVal.width;
    return Math.floor(((x - chart.left) / (chart.right - chart.left)) * days.length);
  }
  const clamp = (number) => Math.min(Math.max(number, 0), days.length - 1);

  for (const chart of charts) {
    const point = (event) => {
      const number = clamp(dayAt(chart, event));
      if (number !== shown || !document.body.classList.contains("walking")) walkTo(number, chart);
    };
    chart.svg.addEventListener("pointermove", point);
    chart.svg.addEventListener("pointerdown", point);
    chart.svg.addEventListener("click", (event) => {
      point(event);
      chart.figure.focus({ preventScroll: true });
    });
  }

  const steps = {
    ArrowLeft: () => shown - 1,
    ArrowRight: () => shown + 1,
    PageUp: () => shown - 7,
    PageDown: () => shown + 7,
    Home: () => 0,
    End: () => days.length - 1,
  };
  document.addEventListener("keydown", (event) => {
    const step = steps[event.key];
    const place = event.target.closest("figure.chart, #day");
    if (!step || !place || event.altKey || event.ctrlKey || event.metaKey) return;
    event.preventDefault();
    walkTo(
      step(),
      charts.find((chart) => chart.figure === place),
    );
  });
  for (const button of inPanel("[data-walk]")) {
    button.addEventListener("click", () => walkTo(shown + Number(button.dataset.walk)));
  }

  panel.tabIndex = 0;
  document.getElementById("day-walk").hidden = false;
  show(shown);
})();
