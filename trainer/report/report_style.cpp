#include "trainer/report/report_style.h"

namespace wetrun::report {

std::string_view report_style() {
  return R"(
:root { --paper:#f1ece2; --sheet:#fbf8f2; --shade:#e9e3d7; --rule:#cfc7b8; --ink:#1e2a33; --soft:#55616a;
  --hand:#0f6b70; --alarm:#b23a10; --alarm-soft:#f6d9cc; --caution-soft:#f8e9c4; --good:#1f6b43; }
* { box-sizing:border-box; }
html { background:var(--paper); color:var(--ink); font:16px/1.5 Lato, "Segoe UI", "Helvetica Neue", Arial, sans-serif;
  font-variant-numeric:tabular-nums; -webkit-text-size-adjust:100%; }
body { margin:0 auto; max-width:56rem; padding:2.5rem 3rem 4rem; background:var(--sheet); overflow-wrap:anywhere; }
h1 { font-size:1.7rem; line-height:1.2; margin:0 0 .4rem; font-weight:700; }
h2 { font-size:1.2rem; margin:2.6rem 0 .8rem; padding-top:.7rem; border-top:1px solid var(--rule); }
h3 { font-size:1.02rem; margin:0; }
p { margin:.3rem 0 .6rem; max-width:44rem; }
.soft, .facts { color:var(--soft); }
.facts { font-size:.92rem; margin:0; }
.verdict { display:flex; gap:1.4rem; align-items:center; margin:1.8rem 0 .6rem; padding:1.2rem 1.4rem; background:#fff;
  border-left:6px solid var(--hand); }
.verdict.no { border-left-color:var(--alarm); }
.verdict > svg { width:4.2rem; height:4.2rem; flex:none; }
.verdict .word { font-size:1.9rem; font-weight:700; line-height:1.1; margin:0 0 .2rem; }
.verdict p { margin:0; }
.score { width:100%; max-width:30rem; height:auto; display:block; margin:.6rem 0 0; }
.cause { margin:1rem 0; padding:.9rem 1.2rem; background:var(--alarm-soft); }
.cause p { margin:.25rem 0; }
.cause h3 + p { margin-top:.35rem; } .cause p + h3 { margin-top:1rem; }
.rule { margin:0 0 1.1rem; padding:.1rem 0 .1rem 1rem; border-left:3px solid var(--rule); break-inside:avoid; }
.rule.no { border-left-color:var(--alarm); }
.rule h3 span, .tag { font-weight:400; font-size:.9rem; color:var(--soft); }
.tag.no { color:var(--alarm); font-weight:700; }
.tag.yes { color:var(--good); }
.rule ul { margin:.2rem 0 .4rem; padding:0; list-style:none; font-size:.94rem; }
.rule li { padding-left:4.4rem; text-indent:-4.4rem; }
.clock { display:inline-block; width:4.4rem; text-indent:0; color:var(--hand); font-weight:700; }
.rule p { margin:.15rem 0; }
table { border-collapse:collapse; width:100%; font-size:.94rem; }
th, td { text-align:left; vertical-align:top; padding:.32rem .7rem .32rem 0; border-bottom:1px solid var(--rule); }
th { font-weight:700; }
thead th { color:var(--soft); font-weight:400; font-size:.86rem; }
td.n, th.n { text-align:right; white-space:nowrap; }
tr.sum td, tr.sum th { border-bottom:0; font-weight:700; }
tr { break-inside:avoid; }
small { color:var(--soft); font-size:.84rem; font-weight:400; display:block; }
td.spark { width:10.5rem; }
.phase td { background:var(--shade); font-weight:700; }
a { color:var(--hand); }
svg text { font-family:inherit; fill:var(--ink); }
figure { margin:0; }
svg.time { width:100%; height:auto; display:block; }
svg.spark { width:10rem; height:2.25rem; display:block; }
svg .n { font-size:10.5px; fill:var(--soft); } svg .t { font-size:11.5px; font-weight:700; }
svg .y { font-size:9.5px; text-anchor:end; fill:var(--soft); } svg .x { font-size:10px; text-anchor:middle; fill:var(--soft); }
svg .no { font-size:9.5px; text-anchor:middle; fill:#fff; font-weight:700; }
svg .w { fill:#fff; } svg .g { stroke:#e4ddcf; stroke-width:.7; } svg .a { stroke:var(--soft); stroke-width:.8; }
svg .m { stroke:var(--alarm); stroke-width:.8; stroke-dasharray:2 3; opacity:.75; }
svg .bad { fill:var(--alarm); } svg .good { fill:#fff; stroke:var(--hand); stroke-width:1.4; }
svg .hand, svg .bar { fill:var(--hand); } svg .dot { fill:var(--ink); }
svg .p { fill:none; stroke-width:1.4; stroke-linejoin:round; }
svg .p0 { stroke:#0072b2; } svg .p1 { stroke:#c45500; stroke-dasharray:7 2.5; }
svg .p2 { stroke:#007f5c; stroke-dasharray:2.5 2; } svg .p3 { stroke:#a34a80; stroke-dasharray:8 2 2 2; }
svg .p4 { stroke:#4a4a4a; stroke-dasharray:12 3; }
.caution { background:var(--caution-soft); padding:.9rem 1.2rem; }
.caution ul { margin:.2rem 0 .6rem; padding-left:1.2rem; }
code { font-family:"DejaVu Sans Mono", Consolas, monospace; font-size:.9em; background:var(--shade); padding:.1em .35em; }
ol.next li { margin:0 0 .8rem; padding-left:.3rem; }
@page { size:A4; margin:15mm 14mm; }
@media print {
  html, body { background:#fff; }
  html { font-size:10.5pt; }
  body { padding:0; max-width:none; }
  * { -webkit-print-color-adjust:exact; print-color-adjust:exact; }
  h2, h3 { break-after:avoid; }
  .run { break-inside:avoid; } svg.time { max-height:215mm; }
  a { color:inherit; text-decoration:none; }
}
@media (max-width:48rem) { body { padding:1.2rem; } td.spark, th.spark { display:none; } }
)";
}

}  // namespace wetrun::report
