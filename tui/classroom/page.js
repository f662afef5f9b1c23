// The class's page: takes in what happens, and shows it, or the recordings that were chosen. It sends nothing.

import { Plot, fill } from "/plot.js";
import { Player, countTo } from "/player.js";

const words = await (await fetch("/words.json")).json();
const at = (id) => document.getElementById(id);
const plot = new Plot(at("plot"), words);
const live = { number: 0, phase: "waiting", x: [], y: [], now: null, broke: null, region: "", guideline: 20 };
let [rig, result, playing] = [{ name: "", simulated: false, doing: "" }, null, false];
const player = new Player(words, () => playing && showReel());

function text(id, what) {
  if (at(id).textContent !== what) at(id).textContent = what;
}

function figure(value, places) {
  return value === null || value === undefined ? "--" : (Math.round(value * 10 ** places) / 10 ** places + 0).toFixed(places);
}

function passage(name, region, sentence, word) {
  const made = document.createElement("p");
  made.className = `passage region-${region}`;
  for (const [tag, cls, what] of [["span", "name", name], ["strong", "", word], ["span", "", sentence]]) {
    if (!what) continue;
    const part = document.createElement(tag);
    part.className = cls;
    part.textContent = what;
    made.append(part);
  }
  return made;
}

function showPassages(passages) {
  const key = JSON.stringify(passages);
  if (at("passages").dataset.key === key) return;
  at("passages").dataset.key = key;
  at("passages").replaceChildren(...passages.map((one) => passage(...one)));
}

function regionPassage(name, region) {
  return [name, region || "slack", words.fibre[region] ?? "", words.regions[region] ?? region];
}

function marked(simulated) {
  at("simulated").hidden = !simulated;
  text("simulated", words.simulated);
  at("simulated").title = words.simulated_about;
}

function showNow() {
  text("title", live.number ? live.title : words.waiting);
  marked(live.number ? live.simulated : rig.simulated);
  at("force-figure").hidden = false;
  // Once the pull is over its curve is that of the result: without slack, from the true zero.
  const over = live.phase === "ended" && result !== null && result.file === live.file && result.x.length > 0;
  const { x, y } = over ? result : live;
  const end = over ? [result.ends, y.at(-1)] : live.broke;
  const said = end && (over ? endOf(result) : fill(words.broke_at, { percent: end[0].toFixed(1) }));
  const here = end ?? live.now;
  text("stretch", figure(here && here[0], 1));
  text("force", figure(here && here[1], 2));
  showPassages(end ? [["", "broke", "", said]] : live.number ? [regionPassage("", live.region)] : []);
  draw({
    reach: [x.at(-1) ?? 0, y.reduce((most, force) => Math.max(most, force), 0)],
    guideline: live.guideline,
    lines: [{ name: "", x, y, count: x.length }],
    bands: over ? result.regions : [],
    pins: end ? [{ x: end[0], y: end[1], text: said }] : [],
  });
}

function showReel() {
  const reel = player.reel;
  text("title", reel ? reel.title : words.nothing);
  marked(reel ? reel.simulated : false);
  const series = reel ? reel.series : [];
  const counts = series.map((one) => countTo(one.x, player.at));
  const ended = series.map((one) => one.x.length > 0 && player.at >= one.x.at(-1));
  text("stretch", figure(reel && player.at, 1));
  at("force-figure").hidden = series.length !== 1;
  text("force", figure(series.length && counts[0] ? series[0].y[counts[0] - 1] : null, 2));
  const passages = series.map((one, n) => {
    const name = series.length > 1 ? `${one.name}: ${figure(counts[n] ? one.y[counts[n] - 1] : null, 2)} N` : "";
    if (ended[n]) return [name, "broke", "", endOf(one)];
    const region = one.regions.findLast(([, , from]) => player.at >= from);
    return one.regions.length ? regionPassage(name, region ? region[0] : "") : [name, "", "", ""];
  });
  showPassages(passages);
  draw({
    reach: [player.ends, Math.max(0, ...series.flatMap((one) => (one.high.length ? one.high : one.y)))],
    guideline: reel ? reel.guideline : 20,
    lines: series.map((one, n) => ({ ...one, count: counts[n] })),
    bands: series.length === 1 ? passed(series[0], ended[0]) : [],
    pins: series.filter((_, n) => ended[n]).map((one) => ({ x: one.x.at(-1), y: one.y.at(-1), text: endOf(one) })),
  });
}

function endOf(one) {
  return fill(words.end_at, { word: one.end_word, percent: one.ends.toFixed(1) });
}

function passed(one, ended) {
  return one.regions.filter(([, , , to]) => ended || to <= player.at).map(([, name, from, to]) => [name, from, to]);
}

function draw(picture) {
  plot.draw(picture);
  text("plot-words", fill(words.described, { stretch: at("stretch").textContent, force: at("force").textContent }));
}

function showResult() {
  at("result").hidden = !result || playing;
  if (!result) return;
  text("result-head", words.result);
  text("result-title", result.simulated ? `${result.title} (${words.simulated})` : result.title);
  text("verdict", `${result.sign} ${result.words}`);
  text("sentence", result.sentence);
  at("values").tBodies[0].replaceChildren(...result.values.map(([label, value, margin]) => {
    const row = document.createElement("tr");
    for (const what of [label, value, margin ? `± ${margin}` : ""]) row.insertCell().textContent = what;
    return row;
  }));
  at("notes").replaceChildren(...result.notes.map((note) => {
    const made = document.createElement("li");
    made.textContent = note;
    return made;
  }));
}

function show() {
  text("rig-name", rig.name || live.rig_name || words.no_rig);
  text("doing", rig.doing);
  at("player").hidden = !playing;
  at("show-now").setAttribute("aria-pressed", String(!playing));
  at("show-reel").setAttribute("aria-pressed", String(playing));
  if (playing) showReel();
  else showNow();
  showResult();
}

function takeIn(news) {
  rig = news.rig;
  const { x, y, from, ...rest } = news.pull;
  if (rest.number !== live.number || from !== live.x.length) Object.assign(live, { x: [], y: [] });
  Object.assign(live, rest);
  live.x.push(...x);
  live.y.push(...y);
  if (news.result) result = news.result;
  if (news.reel) player.show(news.reel);
  show();
}

function link(word, bad) {
  text("link", words[word]);
  at("link").classList.toggle("bad", bad);
}

function choose(which) {
  playing = which;
  show();
}

let looks = 0;
at("looks").addEventListener("click", () => {
  looks = (looks + 1) % words.looks_names.length;
  document.documentElement.dataset.looks = looks;
  text("looks", `${words.looks}: ${words.looks_names[looks]}`);
});
text("looks", `${words.looks}: ${words.looks_names[0]}`);
text("show-now", words.now);
text("show-reel", words.recordings);
text("stretch-label", words.stretch);
text("force-label", words.force);
at("show-now").addEventListener("click", () => choose(false));
at("show-reel").addEventListener("click", () => choose(true));
addEventListener("resize", show);

const stream = new EventSource("/live");
stream.addEventListener("open", () => link("connected", false));
stream.addEventListener("message", (event) => takeIn(JSON.parse(event.data)));
stream.addEventListener("closed", () => {
  stream.close();
  link("closed", true);
});
stream.addEventListener("error", () => link(stream.readyState === EventSource.CLOSED ? "closed" : "lost", true));
show();
