"use strict";
// Draws the charts and their tables from the figures in #page-data. Nothing here computes a figure: it picks and shows.

const data = JSON.parse(document.getElementById("page-data").textContent);
const policyColours = [0, 1, 2, 3, 4, 5].map((i) => `var(--p${i})`);
const policyShapes = ["circle", "square", "triangle-up", "diamond", "cross", "triangle-down"];
const element = (id) => document.getElementById(id);

// Text ---------------------------------------------------------------------------------------------------------------

const numberText = (value, decimals) => {
  if (value === null || value === undefined) return "–";
  const text = value.toFixed(decimals);
  return /^-[0.]*$/.test(text) ? text.slice(1) : text;
};
const withUnits = (label, units) => (units ? `${label}, ${units}` : label);
const words = (name) => name.replaceAll("_", " ");
const spread = (q, decimals = 0) =>
  `${numberText(q.p50, decimals)} (${numberText(q.p10, decimals)} to ${numberText(q.p90, decimals)})`;
const meanText = (figure, decimals) =>
  figure.low === null
    ? numberText(figure.mean, decimals)
    : `${numberText(figure.mean, decimals)} (${numberText(figure.low, decimals)} to ${numberText(figure.high, decimals)})`;

const node = (tag, attributes = {}, ...children) => {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...children);
  return made;
};

/** A table of texts: head, then rows whose first cell names the row. */
const showTable = (place, caption, head, rows) => {
  const headRow = node("tr", {}, ...head.map((text) => node("th", { scope: "col" }, text)));
  const body = rows.map(([name, ...cells]) =>
    node("tr", {}, node("th", { scope: "row" }, name), ...cells.map((text) => node("td", text.length > 40 ? { class: "words" } : {}, text))));
  const table = node("table", {}, node("caption", {}, caption), node("thead", {}, headRow), node("tbody", {}, ...body));
  const region = node("div", { class: "scroll", role: "region", tabindex: "0", "aria-label": caption }, table);
  const holder = element(place);
  holder.replaceChildren(region);
};

const fillSelect = (id, texts, chosen = 0) => {
  const select = element(id);
  select.replaceChildren(...texts.map((text, i) => node("option", { value: i }, text)));
  select.value = String(Math.min(chosen, texts.length - 1));
  return select;
};
const chosen = (id) => Number(element(id).value);

// Charts -------------------------------------------------------------------------------------------------------------

const vega = {};
for (const name of ["vega-parser", "vega-runtime", "vega-view", "vega-dataflow", "vega-interpreter"]) {
  Object.assign(vega, { [name]: vegaModules[name] });
}
for (const name of ["vega-transforms", "vega-view-transforms", "vega-encode"]) {
  Object.assign(vega["vega-dataflow"].transforms, vegaModules[name]);
}

const config = {
  font: "system-ui, 'DejaVu Sans', sans-serif",
  axis: {
    labelColor: "var(--soft)", titleColor: "var(--ink)", domainColor: "var(--soft)", tickColor: "var(--soft)",
    gridColor: "var(--rule)", labelFontSize: 12, titleFontSize: 12, titleFontWeight: "normal", titlePadding: 8,
  },
  legend: { labelColor: "var(--ink)", titleColor: "var(--soft)", labelFontSize: 12, titleFontSize: 12 },
  title: { color: "var(--ink)", fontSize: 13, anchor: "start" },
};

const shown = new Map();
/** Draws a chart whose text alternative is `description`. Expressions run interpreted, so the page needs no eval. */
const draw = (place, description, spec) => {
  const holder = typeof place === "string" ? element(place) : place;
  shown.get(holder)?.finalize();
  const parsed = vega["vega-parser"].parse(
    { $schema: "", background: null, padding: 4, autosize: { type: "fit", contains: "padding" }, description, ...spec },
    config, { ast: true });
  const view = new vega["vega-view"].View(parsed, {
    expr: vega["vega-interpreter"].expressionInterpreter, renderer: "svg", container: holder, hover: false,
  });
  shown.set(holder, view);
  view.runAsync().then(() => {
    const svg = holder.querySelector("svg");
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", description);
    holder.dataset.drawn = "yes";
  }, (error) => console.error(error));
};
const chartWidth = (id) => Math.max(300, Math.min(1150, element(id).clientWidth || 700));

const dayTime = (day) => Date.parse(`${data.first_day}T00:00:00Z`) + day * 86400000;
const monthFormat = { labelOverlap: true, format: "%b", formatType: "utc" };

// Cost against water quality ------------------------------------------------------------------------------------------

const allGroups = [
  data.groups.class[0],
  ...data.groups.class.slice(1),
  ...data.groups.neighbourhood.slice(1),
];
const groupLabels = [
  "whole fleet",
  ...data.groups.class.slice(1).map((g) => `class: ${g.name}`),
  ...data.groups.neighbourhood.slice(1).map((g) => `neighbourhood: ${g.name}`),
];
const figureInfo = (name) => data.figures.find((f) => f.name === name);
const figureOf = (group, name) => group.figures.find((f) => f.figure === name);

const drawTradeoff = () => {
  const at = chosen("tradeoff-group");
  const group = allGroups[at];
  const cost = figureOf(group, "cost"), water = figureOf(group, "free_chlorine_in_range");
  const costInfo = figureInfo("cost"), waterInfo = figureInfo("free_chlorine_in_range");
  const points = data.policies.map((policy, p) => {
    const c = cost.policies[p], w = water.policies[p];
    return {
      policy, x: c.mean, xlow: c.low ?? c.mean, xhigh: c.high ?? c.mean,
      y: w.mean, ylow: w.low ?? w.mean, yhigh: w.high ?? w.mean,
    };
  });
  const caption = `${groupLabels[at]} (${group.pools} pools): cost per pool and month against the share of time with ` +
    "free chlorine in range, one mark a policy.";
  element("tradeoff-caption").textContent = caption;
  const colour = { scale: "colour", field: "policy" };
  draw("tradeoff-chart", caption + " The table below holds the same figures.", {
    width: chartWidth("tradeoff-chart"), height: 380,
    data: [{ name: "points", values: points }],
    scales: [
      { name: "x", type: "linear", range: "width", zero: false, nice: true, padding: 40,
        domain: { fields: [{ data: "points", field: "xlow" }, { data: "points", field: "xhigh" }] } },
      { name: "y", type: "linear", range: "height", zero: false, nice: true, padding: 30,
        domain: { fields: [{ data: "points", field: "ylow" }, { data: "points", field: "yhigh" }] } },
      { name: "colour", type: "ordinal", domain: data.policies, range: policyColours },
      { name: "shape", type: "ordinal", domain: data.policies, range: policyShapes },
    ],
    axes: [
      { orient: "bottom", scale: "x", grid: true, title: `${costInfo.label}, ${costInfo.units}`, tickCount: 8 },
      { orient: "left", scale: "y", grid: true, title: `${waterInfo.label}, % of open hours`, tickCount: 8 },
    ],
    marks: [
      { type: "rule", from: { data: "points" }, encode: { update: {
        x: { scale: "x", field: "xlow" }, x2: { scale: "x", field: "xhigh" }, y: { scale: "y", field: "y" },
        stroke: colour, strokeWidth: { value: 2 } } } },
      { type: "rule", from: { data: "points" }, encode: { update: {
        y: { scale: "y", field: "ylow" }, y2: { scale: "y", field: "yhigh" }, x: { scale: "x", field: "x" },
        stroke: colour, strokeWidth: { value: 2 } } } },
      { type: "symbol", from: { data: "points" }, encode: { update: {
        x: { scale: "x", field: "x" }, y: { scale: "y", field: "y" }, size: { value: 110 },
        shape: { scale: "shape", field: "policy" }, fill: colour, stroke: { value: "var(--paper)" } } } },
      { type: "text", from: { data: "points" }, encode: { update: {
        x: { scale: "x", field: "x", offset: 10 }, y: { scale: "y", field: "y", offset: -12 },
        text: { field: "policy" }, fill: { value: "var(--ink)" }, fontSize: { value: 13 } } } },
    ],
  });
  showTable("tradeoff-table", `${groupLabels[at]}: mean and 95 % interval`,
    ["policy", withUnits(costInfo.label, costInfo.units), withUnits(waterInfo.label, waterInfo.units)],
    data.policies.map((policy, p) => [policy, meanText(cost.policies[p], costInfo.decimals),
      meanText(water.policies[p], waterInfo.decimals)]));
};

// The season's bands ---------------------------------------------------------------------------------------------------

const monthOfDay = Array.from({ length: data.days }, (_, d) => new Date(dayTime(d)).toISOString().slice(0, 7));
const extent = (band) => {
  const values = [band.low, band.high, ...band.series.flat(2)].filter((v) => v !== null);
  return values.length ? [Math.min(...values), Math.max(...values)] : [0, 1];
};
const bandExtents = data.bands.map(extent);

const drawSeason = () => {
  const p = chosen("season-policy");
  const policy = data.policies[p];
  const holder = element("season-charts");
  const width = chartWidth("season-charts");
  while (holder.children.length < data.bands.length) {
    holder.append(node("figure", {}, node("div", { class: "chart" }), node("figcaption")));
  }
  data.bands.forEach((band, b) => {
    const days = band.series[p][0].map((_, d) => ({
      t: dayTime(d), a: band.series[p][0][d], b: band.series[p][1][d], m: band.series[p][2][d],
      c: band.series[p][3][d], e: band.series[p][4][d],
    })).filter((row) => row.m !== null);
    const limits = [band.low, band.high].filter((v) => v !== null).map((v) => ({ v }));
    const colour = policyColours[p % policyColours.length];
    const area = (low, high, opacity) => ({ type: "area", from: { data: "days" }, encode: { update: {
      x: { scale: "x", field: "t" }, y: { scale: "y", field: low }, y2: { scale: "y", field: high },
      fill: { value: colour }, fillOpacity: { value: opacity } } } });
    const figure = holder.children[b];
    const title = withUnits(band.label, band.units);
    figure.querySelector("figcaption").textContent = days.length ? "" : `${title}: no pool was open.`;
    draw(figure.querySelector(".chart"), `${title} through the season under ${policy}: median and bands over pools. ` +
      "The table by month below holds figures.", {
      width, height: 170, title: { text: title },
      data: [{ name: "days", values: days }, { name: "limits", values: limits }],
      scales: [
        { name: "x", type: "utc", range: "width", domain: [dayTime(0), dayTime(data.days - 1)] },
        { name: "y", type: "linear", range: "height", zero: false, nice: true, domain: bandExtents[b] },
      ],
      axes: [
        { orient: "bottom", scale: "x", tickCount: "month", ...monthFormat },
        { orient: "left", scale: "y", grid: true, tickCount: 5, minExtent: 44, maxExtent: 44 },
      ],
      marks: [
        area("a", "e", 0.2), area("b", "c", 0.35),
        { type: "rule", from: { data: "limits" }, encode: { update: {
          x: { value: 0 }, x2: { signal: "width" }, y: { scale: "y", field: "v" },
          stroke: { value: "var(--soft)" }, strokeDash: { value: [5, 4] } } } },
        { type: "line", from: { data: "days" }, encode: { update: {
          x: { scale: "x", field: "t" }, y: { scale: "y", field: "m" },
          stroke: { value: colour }, strokeWidth: { value: 2 } } } },
      ],
    });
  });
  const months = [...new Set(monthOfDay)];
  showTable("season-table", `${policy}: median (5 % to 95 % of pools), mean of the month's days`,
    ["month", ...data.bands.map((band) => withUnits(band.label, band.units))],
    months.map((month) => [month, ...data.bands.map((band) => {
      const mean = (q) => {
        const values = band.series[p][q].filter((v, d) => v !== null && monthOfDay[d] === month);
        return values.length ? values.reduce((a, b) => a + b, 0) / values.length : null;
      };
      return spread({ p10: mean(0), p50: mean(2), p90: mean(4) }, band.decimals);
    })]));
};

// Supplies -------------------------------------------------------------------------------------------------------------

const drawSupplies = () => {
  const plan = data.supplies[chosen("supplies-policy")];
  const material = plan.materials[chosen("supplies-material")];
  const colour = policyColours[chosen("supplies-policy") % policyColours.length];
  const label = (m) => withUnits(words(m.material), m.units);
  if (material) {
    const caption = `${label(material)} by month under ${plan.policy}: bar for the median, line from P10 to P90.`;
    element("supplies-caption").textContent = caption;
    const rows = material.months.map((m) => ({ month: m.month, ...m.need }));
    draw("supplies-chart", caption + " The table below holds the same figures.", {
      width: chartWidth("supplies-chart"), height: 260,
      data: [{ name: "rows", values: rows }],
      scales: [
        { name: "x", type: "band", range: "width", padding: 0.35, domain: { data: "rows", field: "month" } },
        { name: "y", type: "linear", range: "height", nice: true, zero: true,
          domain: { fields: [{ data: "rows", field: "p90" }, { data: "rows", field: "p50" }] } },
      ],
      axes: [
        { orient: "bottom", scale: "x", labelOverlap: true },
        { orient: "left", scale: "y", grid: true, tickCount: 5, title: label(material) },
      ],
      marks: [
        { type: "rect", from: { data: "rows" }, encode: { update: {
          x: { scale: "x", field: "month" }, width: { scale: "x", band: 1 },
          y: { scale: "y", field: "p50" }, y2: { scale: "y", value: 0 },
          fill: { value: colour }, fillOpacity: { value: 0.55 } } } },
        { type: "rule", from: { data: "rows" }, encode: { update: {
          x: { scale: "x", field: "month", band: 0.5 }, y: { scale: "y", field: "p10" }, y2: { scale: "y", field: "p90" },
          stroke: { value: "var(--ink)" }, strokeWidth: { value: 2 } } } },
      ],
    });
  }
  const months = plan.work.map((m) => m.month);
  showTable("supplies-table", `Needed by month under ${plan.policy}: median (P10 to P90)`,
    ["month", ...plan.materials.map(label)],
    [...months.map((month, m) => [month, ...plan.materials.map((each) => spread(each.months[m].need))]),
      ["season", ...plan.materials.map((each) => spread(each.season))]]);
};

// Load -----------------------------------------------------------------------------------------------------------------

const percentText = (share) => (Number.isFinite(share) ? `${numberText(100 * share, 0)} %` : "–");
const loadOf = (week) => (week.capacity_h > 0 ? week.work_h.p90 / week.capacity_h : week.work_h.p90 > 0 ? Infinity : 0);

const drawLoad = () => {
  const plan = data.supplies[chosen("load-policy")];
  const colour = policyColours[chosen("load-policy") % policyColours.length];
  const who = plan.technicians[chosen("load-technician") - 1];
  const name = who ? who.technician : "all technicians";
  const weeks = (who ? who.weeks : plan.busiest_weeks)
    .map((w) => ({ t: Date.parse(`${w.monday}T00:00:00Z`), capacity: w.capacity_h, ...w.work_h }))
    .sort((a, b) => a.t - b.t);
  const caption = `Hours a week of ${name} under ${plan.policy}: line for the median, band from P10 to P90, ` +
    "stepped dashed line for the capacity.";
  element("load-caption").textContent = caption;
  draw("load-chart", caption + " The tables below hold figures.", {
    width: chartWidth("load-chart"), height: 260,
    data: [{ name: "weeks", values: weeks }],
    scales: [
      { name: "x", type: "utc", range: "width", domain: { data: "weeks", field: "t" } },
      { name: "y", type: "linear", range: "height", nice: true, zero: true,
        domain: { fields: [{ data: "weeks", field: "p90" }, { data: "weeks", field: "capacity" }] } },
    ],
    axes: [
      { orient: "bottom", scale: "x", tickCount: "month", ...monthFormat },
      { orient: "left", scale: "y", grid: true, tickCount: 6, title: `hours a week, ${name}` },
    ],
    marks: [
      { type: "area", from: { data: "weeks" }, encode: { update: { x: { scale: "x", field: "t" },
        y: { scale: "y", field: "p10" }, y2: { scale: "y", field: "p90" }, fill: { value: colour }, fillOpacity: { value: 0.3 } } } },
      { type: "line", from: { data: "weeks" }, encode: { update: { x: { scale: "x", field: "t" },
        y: { scale: "y", field: "p50" }, stroke: { value: colour }, strokeWidth: { value: 2 } } } },
      { type: "line", from: { data: "weeks" }, encode: { update: { x: { scale: "x", field: "t" },
        y: { scale: "y", field: "capacity" }, interpolate: { value: "step-after" },
        stroke: { value: "var(--ink)" }, strokeDash: { value: [5, 4] } } } },
    ],
  });
  showTable("load-technicians-table", `Work and driving of each technician under ${plan.policy}, hours: median (P10 to P90)`,
    ["technician", "season, h", "capacity, h", "load at P90", "busiest week from", "week, h", "capacity, h", "load at P90"],
    plan.technicians.map((each) => {
      const week = each.weeks.reduce((busiest, w) => (loadOf(w) > loadOf(busiest) ? w : busiest));
      return [each.technician, spread(each.season_h), numberText(each.season_capacity_h, 0),
        percentText(each.season_h.p90 / each.season_capacity_h), week.monday, spread(week.work_h),
        numberText(week.capacity_h, 0), percentText(loadOf(week))];
    }));
  showTable("load-table", `Work of all technicians under ${plan.policy}, hours: median (P10 to P90)`,
    ["month", "work at pools, h", "driving, h", "overtime, h", "capacity, h"],
    plan.work.map((m) => [m.month, spread(m.service_h), spread(m.driving_h), spread(m.overtime_h), numberText(m.capacity_h, 0)]));
};

// Rounds ---------------------------------------------------------------------------------------------------------------

const clock = (seconds) => {
  const minutes = Math.round(seconds / 60);
  return `${String(Math.floor(minutes / 60)).padStart(2, "0")}:${String(minutes % 60).padStart(2, "0")}`;
};

const minutes = (seconds) => numberText(seconds / 60, 0);
const dayLabel = (day) => {
  const date = data.plan_dates[day];
  if (!date) return `day ${day + 1}`;
  const weekday = new Date(`${date}T00:00:00Z`).toLocaleDateString("en", { weekday: "long", timeZone: "UTC" });
  return `day ${day + 1}, first on ${weekday} ${date}`;
};

const fillDays = () => {
  const days = [...new Set(data.rounds[chosen("rounds-policy")].map((r) => r.day))].sort((a, b) => a - b);
  const before = element("rounds-day").value;
  element("rounds-day").replaceChildren(...days.map((day) => node("option", { value: day }, dayLabel(day))));
  if (days.includes(Number(before)) && before !== "") element("rounds-day").value = before;
};

/** A plane for the map: over one district it is close enough, as a degree of longitude shrinks with the latitude. */
const planeFor = (places, width, height) => {
  const mean = places.reduce((sum, at) => sum + at[1], 0) / Math.max(1, places.length);
  const shrink = Math.cos(mean * Math.PI / 180);
  const flat = ([longitude, latitude]) => ({ x: longitude * shrink, y: latitude });
  const range = (values) => values.reduce(([low, high], v) => [Math.min(low, v), Math.max(high, v)], [Infinity, -Infinity]);
  const [west, east] = range(places.map((at) => at[0] * shrink)), [south, north] = range(places.map((at) => at[1]));
  const degreesPerPixel = Math.max((east - west) / (width - 40), (north - south) / (height - 40), 1e-7);
  const around = (low, high, length) => [(low + high - degreesPerPixel * length) / 2, (low + high + degreesPerPixel * length) / 2];
  return { flat, degreesPerPixel, x: around(west, east, width), y: around(south, north, height) };
};

/** A round length for the scale bar, at most a fifth of the width. */
const scaleBar = (plane, width) => {
  const perPixel = plane.degreesPerPixel * 111195 * data.distance.per_m;
  const power = 10 ** Math.floor(Math.log10(perPixel * width / 5));
  const length = [5, 2, 1].map((step) => step * power).find((l) => l <= perPixel * width / 5);
  return { pixels: length / perPixel, label: `${Number(length.toPrecision(1))} ${data.distance.units}` };
};

const drawRounds = () => {
  const policy = data.policies[chosen("rounds-policy")], all = data.rounds[chosen("rounds-policy")];
  const day = chosen("rounds-day"), who = chosen("rounds-technician") - 1;
  const { pools, technicians } = data.places;
  const rounds = all.filter((r) => r.day === day && (who < 0 || r.technician === who));
  const stopCount = rounds.reduce((n, r) => n + r.pools.length, 0);
  const caption = `${policy}, ${dayLabel(day)}: ${stopCount} stops of ${rounds.length} rounds. Squares are where ` +
    "technicians start, dots are pools; pale dots are not visited, pale lines not driven on this day.";
  element("rounds-caption").textContent = rounds.length ? caption : "The file holds no planned rounds for this choice.";
  const width = chartWidth("rounds-chart"), height = Math.min(620, Math.max(320, width * 0.62));
  const everywhere = [...pools.map((p) => p.at), ...technicians.map((t) => t.start), ...technicians.map((t) => t.end),
    ...all.flatMap((r) => r.line)];
  const plane = planeFor(everywhere, width, height);
  const bar = scaleBar(plane, width);
  const nameOf = (r) => technicians[r.technician].name;
  const pointsOf = (r, key) => r.line.map((at) => ({ key, ...plane.flat(at) }));
  const names = technicians.map((t) => t.name);
  const at = { x: { scale: "x", field: "x" }, y: { scale: "y", field: "y" } };
  const dots = (from, size, shape, paint) => ({ type: "symbol", from: { data: from },
    encode: { update: { ...at, size: { value: size }, shape: { value: shape }, ...paint } } });
  const lines = (from, paint) => ({ type: "group", from: { facet: { name: `${from}-line`, data: from, groupby: "key" } },
    marks: [{ type: "line", from: { data: `${from}-line` }, encode: { update: { ...at, ...paint } } }] });
  const barAt = { x: { value: 12 }, y: { value: height - 12 } };
  draw("rounds-chart", caption + " The table below lists the rounds.", {
    width, height, autosize: "pad",
    data: [
      { name: "roads", values: all.flatMap((r, i) => pointsOf(r, i)) },
      { name: "driven", values: rounds.flatMap((r) => pointsOf(r, nameOf(r))) },
      { name: "pools", values: pools.map((p) => plane.flat(p.at)) },
      { name: "stops", values: rounds.flatMap((r) => r.pools.map((i) => ({ key: nameOf(r), ...plane.flat(pools[i].at) }))) },
      { name: "depots", values: technicians.filter((_, t) => who < 0 || t === who).map((t) => plane.flat(t.start)) },
    ],
    scales: [
      { name: "x", type: "linear", range: "width", zero: false, domain: plane.x },
      { name: "y", type: "linear", range: "height", zero: false, domain: plane.y },
      { name: "colour", type: "ordinal", domain: names, range: policyColours },
      { name: "dash", type: "ordinal", domain: names, range: [[1, 0], [8, 3], [3, 3], [10, 3, 2, 3]] },
    ],
    legends: [{ stroke: "colour", strokeDash: "dash", symbolType: "stroke", symbolSize: 400, orient: "top",
      direction: "horizontal", columns: width < 500 ? 2 : 4 }],
    marks: [
      lines("roads", { stroke: { value: "var(--rule)" }, strokeWidth: { value: 1.5 } }),
      dots("pools", 14, "circle", { fill: { value: "var(--soft)" }, fillOpacity: { value: 0.45 } }),
      lines("driven", { stroke: { scale: "colour", field: "key" }, strokeWidth: { value: 2.5 }, strokeOpacity: { value: 0.85 },
        strokeDash: { scale: "dash", field: "key" }, strokeJoin: { value: "round" } }),
      dots("stops", 46, "circle", { fill: { scale: "colour", field: "key" }, stroke: { value: "var(--paper)" } }),
      dots("depots", 110, "square", { fill: { value: "var(--ink)" } }),
      { type: "rule", encode: { update: { ...barAt, x2: { value: 12 + bar.pixels }, y2: barAt.y,
        stroke: { value: "var(--ink)" }, strokeWidth: { value: 3 } } } },
      { type: "text", encode: { update: { ...barAt, dy: { value: -6 }, text: { value: bar.label },
        fill: { value: "var(--ink)" }, fontSize: { value: 12 } } } },
    ],
  });
  showTable("rounds-table", `Rounds of ${dayLabel(day)}, under ${policy}`,
    ["technician", "stops", "leaves", "back", "driving, min", `distance, ${data.distance.units}`, "overtime, min", "pools in order"],
    rounds.map((r) => [nameOf(r), String(r.pools.length), clock(r.leave_s), clock(r.back_s), minutes(r.driving_s),
      numberText(r.driving_m * data.distance.per_m, 1), minutes(r.overtime_s), r.pools.map((i) => pools[i].name).join(", ")]));
};

// Groups ---------------------------------------------------------------------------------------------------------------

const fillFigures = () => {
  const before = element("groups-figure").value;
  const group = data.groups[element("groups-by").value][1] ?? data.groups.class[0];
  const select = element("groups-figure");
  select.replaceChildren(...group.figures.map((f) => {
    const info = figureInfo(f.figure);
    return node("option", { value: f.figure }, withUnits(info.label, info.units));
  }));
  if (group.figures.some((f) => f.figure === before)) select.value = before;
};

const drawGroups = () => {
  const by = element("groups-by").value, info = figureInfo(element("groups-figure").value);
  const groups = data.groups[by].slice(1);
  const rows = groups.flatMap((group) => figureOf(group, info.name).policies.map((f) => ({
    group: group.name, policy: f.policy, mean: f.mean, low: f.low ?? f.mean, high: f.high ?? f.mean })));
  const caption = `${withUnits(info.label, info.units)} by ${by}: mean and 95 % interval, one mark a policy.`;
  element("groups-caption").textContent = caption;
  const y = { scale: "group", field: "group", offset: { scale: "policy", field: "policy", band: 0.5 } };
  const colour = { scale: "colour", field: "policy" };
  const step = 14 * data.policies.length + 12;
  draw("groups-chart", caption + " The table below holds the same figures.", {
    width: chartWidth("groups-chart"), height: step * Math.max(1, groups.length) + 70,
    data: [{ name: "rows", values: rows }],
    scales: [
      { name: "group", type: "band", range: "height", domain: groups.map((g) => g.name), padding: 0.15 },
      { name: "policy", type: "band", range: [0, step * 0.85], domain: data.policies },
      { name: "x", type: "linear", range: "width", nice: true, zero: false, padding: 10,
        domain: { fields: [{ data: "rows", field: "low" }, { data: "rows", field: "high" }] } },
      { name: "colour", type: "ordinal", domain: data.policies, range: policyColours },
      { name: "shape", type: "ordinal", domain: data.policies, range: policyShapes },
    ],
    axes: [
      { orient: "left", scale: "group", labelLimit: 140 },
      { orient: "bottom", scale: "x", grid: true, tickCount: 6, title: withUnits(info.label, info.units) },
    ],
    legends: [{ fill: "colour", shape: "shape", orient: "top", direction: "horizontal", columns: 3 }],
    marks: [
      { type: "rule", from: { data: "rows" }, encode: { update: {
        x: { scale: "x", field: "low" }, x2: { scale: "x", field: "high" }, y, stroke: colour, strokeWidth: { value: 2 } } } },
      { type: "symbol", from: { data: "rows" }, encode: { update: {
        x: { scale: "x", field: "mean" }, y, fill: colour, shape: { scale: "shape", field: "policy" }, size: { value: 55 } } } },
    ],
  });
  showTable("groups-table", `${withUnits(info.label, info.units)} by ${by}: mean (95 % interval)`,
    [by, "pools", ...data.policies],
    groups.map((group) => [group.name, String(group.pools),
      ...figureOf(group, info.name).policies.map((f) => meanText(f, info.decimals))]));
};

// Start ----------------------------------------------------------------------------------------------------------------

fillSelect("tradeoff-group", groupLabels);
for (const id of ["season-policy", "supplies-policy", "load-policy", "rounds-policy"]) {
  fillSelect(id, data.policies, data.baseline);
}
fillSelect("supplies-material", data.supplies[0].materials.map((m) => words(m.material)));
for (const id of ["load-technician", "rounds-technician"]) {
  fillSelect(id, ["all", ...data.places.technicians.map((t) => t.name)]);
}
fillDays();
fillFigures();

const drawings = [
  [["tradeoff-group"], drawTradeoff],
  [["season-policy"], drawSeason],
  [["supplies-policy", "supplies-material"], drawSupplies],
  [["load-policy", "load-technician"], drawLoad],
  [["rounds-day", "rounds-technician"], drawRounds],
  [["groups-figure"], drawGroups],
];
for (const [ids, drawing] of drawings) {
  for (const id of ids) element(id).addEventListener("change", drawing);
  drawing();
}
element("rounds-policy").addEventListener("change", () => { fillDays(); drawRounds(); });
element("groups-by").addEventListener("change", () => { fillFigures(); drawGroups(); });

let settled = 0;
window.addEventListener("resize", () => {
  clearTimeout(settled);
  settled = setTimeout(() => drawings.forEach(([, drawing]) => drawing()), 200);
});
// On paper nothing can be unfolded; the texts of the scenario stay out by the style.
window.addEventListener("beforeprint", () => {
  for (const details of document.querySelectorAll("details:not(.source)")) details.open = true;
});
