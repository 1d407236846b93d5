"use strict";
(() => {
  const byId = (id) => document.getElementById(id);
  const read = (id) => JSON.parse(byId(id).textContent);
  const texts = read("texts"); // in the language of the page
  const fill = (text, parts) => text.replace(/\{(\w+)\}/g, (_, name) => parts[name]);

  // ---- findings: open, search, filter, sort
  const table = byId("findings-table");
  const findings = table
    ? [...table.tBodies].map((body) => ({ body, text: body.textContent.toLowerCase() }))
    : [];

  const open = (body, wanted) => {
    body.rows[1].hidden = !wanted;
    body.querySelector(".open").setAttribute("aria-expanded", String(wanted));
  };

  const filter = () => {
    const words = byId("search").value.toLowerCase().split(/\s+/).filter(Boolean);
    const severities = new Set(
      [...document.querySelectorAll("input[name=severity]:checked")].map((box) => box.value));
    const rule = byId("rule").value;
    const cause = byId("cause").value;
    let shown = 0;
    for (const { body, text } of findings) {
      const data = body.dataset;
      const wanted = severities.has(data.severity) && (!rule || data.rule === rule) &&
        (!cause || data.cause === cause) && words.every((word) => text.includes(word));
      if (body.hidden === wanted) body.hidden = !wanted;
      if (wanted) shown += 1;
    }
    byId("shown").textContent = fill(texts.shown, { shown, all: findings.length });
  };

  const sort = (head) => {
    const key = head.dataset.sort;
    const up = head.getAttribute("aria-sort") !== "ascending";
    for (const other of table.tHead.rows[0].cells) other.setAttribute("aria-sort", "none");
    head.setAttribute("aria-sort", up ? "ascending" : "descending");
    const numeric = ["rank", "row", "ratio"].includes(key);
    const value = ({ body }) => numeric
      ? (body.dataset[key] === "" ? Infinity : Number(body.dataset[key]))
      : body.rows[0].cells[key].textContent;
    const collator = new Intl.Collator(undefined, { numeric: true });
    const keyed = findings.map((finding) => [value(finding), finding.body]);
    keyed.sort(([a], [b]) => (up ? 1 : -1) * (numeric ? (a === b ? 0 : a - b) : collator.compare(a, b)));
    table.append(...keyed.map(([, body]) => body));
  };

  const clear = () => {
    byId("search").value = "";
    byId("rule").value = "";
    byId("cause").value = "";
    for (const box of document.querySelectorAll("input[name=severity]")) box.checked = true;
    filter();
  };

  const reach = (number) => {
    const body = byId(`f-${number}`);
    if (!body) return;
    if (body.hidden) clear();
    open(body, true);
    for (const { body: other } of findings) other.classList.toggle("reached", other === body);
    body.scrollIntoView({ block: "center" });
    body.querySelector(".open").focus({ preventScroll: true });
  };

  if (table) {
    table.addEventListener("click", (event) => {
      const button = event.target.closest("button");
      if (!button) return;
      const head = button.closest("th");
      if (head) sort(head);
      else open(button.closest("tbody"), button.getAttribute("aria-expanded") !== "true");
    });
    byId("search").addEventListener("input", filter);
    for (const name of ["rule", "cause"]) byId(name).addEventListener("change", filter);
    for (const box of document.querySelectorAll("input[name=severity]")) box.addEventListener("change", filter);
    byId("clear").addEventListener("click", clear);
    byId("open-all").addEventListener("click", (event) => {
      const wanted = event.target.getAttribute("aria-pressed") !== "true";
      event.target.setAttribute("aria-pressed", String(wanted));
      event.target.textContent = wanted ? texts.close_all : texts.open_all;
      for (const { body } of findings) open(body, wanted);
    });
    if (/^#f-\d+$/.test(location.hash)) reach(location.hash.slice(3));
  }

  // ---- paper: reasons stand open
  const closed = [];
  addEventListener("beforeprint", () => {
    for (const reason of document.querySelectorAll("details.reason:not([open])")) {
      reason.open = true;
      closed.push(reason);
    }
  });
  addEventListener("afterprint", () => {
    for (const reason of closed.splice(0)) reason.open = false;
  });

  // ---- pictures
  if (!byId("points")) return;

  const numbers = (text, Kind) => {
    const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
    return new Kind(bytes.buffer);
  };

  const laidOut = (group) => {
    const number = numbers(group.case, group.bytes === 2 ? Uint16Array : Uint32Array);
    const each = (values) => Array.from(number, (i) => values[i]);
    const measured = (values) => Float64Array.from(number, (i) => values[i] ?? NaN);
    const what = each(group.what);
    const row = numbers(group.row, Int32Array);
    return {
      size: measured(group.size), load: measured(group.load), ratio: measured(group.ratio),
      row, at: group.at ? numbers(group.at, Int32Array) : row, size_text: each(group.size_text),
      sheet: group.sheet ? each(group.sheet) : new Array(number.length).fill(""),
      load_text: each(group.load_text), said: each(group.said),
      what: group.words ? what.map((w, i) => group.words[i] || w) : what,
      finding: group.finding || new Array(number.length).fill(null),
    };
  };

  const css = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
  const paint = (figure) => {
    for (const axis of [...figure.left, ...figure.below]) {
      axis.setv({ axis_label_text_color: css("ink"), major_label_text_color: css("ink"),
        axis_line_color: css("soft"), major_tick_line_color: css("soft") });
    }
    for (const item of figure.center) {
      if (item.type === "Grid") item.setv({ grid_line_color: css("line"), grid_line_alpha: 0.75 });
      if (item.type === "Span") item.setv({ line_color: css("soft") });
    }
    figure.setv({ outline_line_color: css("line") });
    for (const { glyph, nonselection_glyph, selection_glyph } of figure.renderers) {
      const tags = glyph.tags;
      for (const one of [glyph, nonselection_glyph, selection_glyph]) {
        if (!one || typeof one !== "object" || !one.setv) continue;
        if (one.type === "Text") {
          one.setv({ text_color: { value: css("ink") }, background_fill_color: { value: css("paper") } });
        }
        else if (one.type === "Line") one.setv({ line_color: css("soft") });
        else if (one.type === "Scatter") {
          const group = tags[1];
          const marked = group in { danger: 1, error: 1, warning: 1, note: 1 };
          const fill = css(marked ? group : "agree");
          one.setv({ fill_color: { value: fill }, line_color: { value: marked ? css("paper") : fill } });
        }
      }
    }
  };

  const free = (box, taken) => taken.every((t) =>
    box.left > t.right || box.right < t.left || box.top > t.bottom || box.bottom < t.top);

  // Line ends are always named: each name moves down or up until it is clear of the others.
  const placeEnds = (source, frame, taken) => {
    const { x, y, name } = source.data;
    const text = name.map((n) => frame.bbox.width < NARROW ? n : fill(texts.grade, { grade: n }));
    const dx = [];
    const dy = [];
    const order = Array.from(x, (_, i) => i).sort((a, b) => y[b] - y[a]);
    const right = frame.bbox.right;
    for (const i of order) {
      const px = frame.x_scale.compute(x[i]);
      const py = frame.y_scale.compute(y[i]);
      const width = 7.5 * text[i].length;
      const shift = Math.min(6, right - width - px - 2);
      let box;
      let step = 0;
      for (; step < 60; step += 1) {
        const down = (step % 2 ? 1 : -1) * Math.ceil(step / 2) * 5 - (shift < 6 ? 11 : 0);
        box = { left: px + shift, right: px + shift + width, top: py + down - 7, bottom: py + down + 7, down };
        if (free(box, taken)) break;
      }
      taken.push(box);
      dx[i] = shift;
      dy[i] = box.down;
    }
    source.data = { ...source.data, text, dx, dy };
  };

  const NARROW = 420; // pixels: below it the lines have room for their bare names only
  const MOST_LABELS = 40;

  // Marked points are named where there is room, the worst first; zooming in makes room.
  const placeLabels = (source, frame, groups, xName, yName, taken) => {
    const out = { x: [], y: [], text: [], dx: [], dy: [] };
    const area = frame.bbox;
    const inside = (px, py) => px >= area.left && px <= area.right && py >= area.top && py <= area.bottom;
    const todo = [];
    for (const group of ["danger", "error", "warning", "note"]) {
      const data = groups[group];
      for (let i = 0; i < data.row.length && todo.length < 400; i += 1) {
        const px = frame.x_scale.compute(data[xName][i]);
        const py = frame.y_scale.compute(data[yName][i]);
        if (!inside(px, py)) continue;
        taken.push({ left: px - 6, right: px + 6, top: py - 6, bottom: py + 6 });
        const row = data.sheet[i] ? `${data.sheet[i]} ${data.row[i]}` : data.row[i];
        todo.push({ px, py, x: data[xName][i], y: data[yName][i], row, sheet: data.sheet[i] });
      }
    }
    // several rows at one spot share one name
    const spots = new Map();
    for (const point of todo) {
      const key = `${Math.round(point.px)} ${Math.round(point.py)}`;
      if (spots.has(key)) spots.get(key).rows.push(point.row);
      else spots.set(key, { ...point, rows: [point.row] });
    }
    for (const { px, py, x, y, sheet, rows } of spots.values()) {
      if (out.x.length >= MOST_LABELS) break;
      const more = rows.length > 3 ? ` +${rows.length - 3}` : "";
      const numbers = `${rows.slice(0, 3).join(", ")}${more}`;
      const text = sheet ? numbers : fill(texts.row, { row: numbers });
      const width = 7 * text.length;
      for (const [dx, dy] of [[9, 0], [-9 - width, 0], [-width / 2, -15], [-width / 2, 15],
        [9, -9], [9, 9], [-9 - width, -9], [-9 - width, 9], [9, -18], [-9 - width, -18], [9, 18], [-9 - width, 18]]) {
        const box = { left: px + dx, right: px + dx + width, top: py + dy - 7, bottom: py + dy + 7 };
        const fits = box.left > area.left && box.right < area.right && box.top > area.top && box.bottom < area.bottom;
        if (!fits || !free(box, taken)) continue;
        taken.push(box);
        out.x.push(x); out.y.push(y); out.text.push(text); out.dx.push(dx); out.dy.push(dy);
        break;
      }
    }
    source.data = out;
  };

  // Names of the usual ratios stand upright beside their lines, those that explain most items
  // first; one without room is left to the table.
  const placeNames = (source, frame, taken) => {
    const { x, y, name, rank } = source.data;
    const text = x.map(() => "");
    const dx = x.map(() => 0);
    const { left, right, top } = frame.bbox;
    const used = [];
    for (const i of x.map((_, k) => k).sort((a, b) => rank[a] - rank[b])) {
      const px = frame.x_scale.compute(x[i]);
      const shift = [-8, 8].find((s) => px + s - 7 >= left && px + s + 7 <= right &&
        used.every((u) => Math.abs(u - px - s) >= 14));
      if (shift === undefined) continue;
      used.push(px + shift);
      text[i] = name[i];
      dx[i] = shift;
      taken.push({ left: px + shift - 7, right: px + shift + 7, top,
        bottom: frame.y_scale.compute(y[i]) + 6.8 * name[i].length });
    }
    source.data = { ...source.data, dx, text };
  };

  // What is printed is a picture of the picture: a canvas does not follow the width of paper.
  const snapshot = (figure, holder) => {
    const view = Bokeh.index.find_one(figure);
    if (!view) return;
    let image = holder.querySelector(":scope > img");
    if (!image) {
      image = document.createElement("img");
      image.alt = holder.getAttribute("aria-label");
      holder.append(image);
    }
    image.src = view.export("png", true).canvas.toDataURL("image/png");
    // paper is light: the style sheet turns a dark picture over
    image.classList.toggle("dark", matchMedia("(prefers-color-scheme: dark)").matches);
    holder.classList.add("printed");
  };

  const start = async () => {
    const documents = read("documents");
    const items = read("items");
    const points = read("points");
    const groups = Object.fromEntries(Object.entries(points).map(([name, group]) => [name, laidOut(group)]));
    Bokeh.set_log_level("warn");
    for (const item of items) {
      const json = Object.values(documents)[0];
      const ids = Object.keys(item.roots);
      json.roots.forEach((root, i) => {
        item.roots[ids[i]] = `picture-${root.attributes.name}`;
      });
    }
    await Bokeh.embed.embed_items(documents, items);
    const doc = Bokeh.documents[Bokeh.documents.length - 1];
    const named = (name) => doc.get_model_by_name(name);
    for (const figure of doc.roots()) {
      const ratings = figure.name === "ratings";
      const sources = {};
      for (const renderer of figure.renderers) {
        const source = renderer.data_source;
        const group = /^points (.*)$/.exec(source.name || "");
        if (!group) continue;
        source.data = groups[group[1]];
        sources[group[1]] = source;
        source.selected.properties.indices.change.connect(() => {
          const [first] = source.selected.indices;
          if (first !== undefined && source.data.finding[first] !== null) reach(source.data.finding[first]);
        });
      }
      const holder = byId(`picture-${figure.name}`);
      holder.dataset.points = String(Object.values(sources).reduce((n, s) => n + s.data.row.length, 0));
      const place = () => {
        const seen = Bokeh.index.find_one(figure);
        if (!seen || !seen.frame) return;
        const taken = [];
        const frame = seen.frame;
        if (ratings) {
          placeEnds(named("line-ends"), frame, taken);
          placeLabels(named("labels-ratings"), frame, groups, "size", "load", taken);
        } else {
          placeNames(named("ratio-names"), frame, taken);
          placeLabels(named("labels-ratios"), frame, groups, "ratio", "at", taken);
        }
        clearTimeout(printing);
        printing = setTimeout(() => snapshot(figure, holder), 900);
      };
      let waiting = 0;
      let printing = 0;
      const soon = () => {
        clearTimeout(waiting);
        waiting = setTimeout(place, 60);
      };
      for (const range of [figure.x_range, figure.y_range]) {
        range.properties.start.change.connect(soon);
        range.properties.end.change.connect(soon);
      }
      figure.properties.inner_width.change.connect(soon);
      figure.properties.inner_height.change.connect(soon);
      matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
        paint(figure);
        place();
      });
      paint(figure);
      place();
    }
  };
  start();
})();
