/** Style of the report of a run: one page for screen, phone and paper, in light and dark. */
export const REPORT_STYLE = `
:root { color-scheme: light dark; --paper: #f7f4ef; --ink: #211e1a; --soft: #665f56; --line: #ddd6cb; --rail: #ebe6dd;
  --shape: #8a7a5c; --take: #3f6b7a; --take-odd: #5b8796; --encode: #a0823f; --file: #6b5b8a; --good: #2f6240; --bad: #9c3824; --left: #8f6a12; }
@media (prefers-color-scheme: dark) { :root { --paper: #26221e; --ink: #efe9e0; --soft: #b3a99c; --line: #443d36; --rail: #38322c;
  --shape: #b5a27d; --take: #7fb0bf; --take-odd: #5f93a4; --encode: #d3b26a; --file: #ab9acb; --good: #95c7a2; --bad: #eda18f; --left: #e0b95c; } }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--ink); font: 400 1rem/1.5 system-ui, -apple-system, "Segoe UI", Roboto, "Helvetica Neue", "Noto Sans", sans-serif; -webkit-text-size-adjust: 100%; }
main { max-width: 62rem; margin: 0 auto; padding: 2.5rem 1.25rem 4rem; }
h1 { margin: 0; font: 400 2rem/1.2 "Iowan Old Style", "Palatino Linotype", Palatino, "URW Palladio L", P052, Georgia, serif; overflow-wrap: anywhere; }
h2 { margin: 2.75rem 0 0.6rem; font-size: 1.05rem; font-weight: 600; }
p { margin: 0.4rem 0; max-width: 44rem; }
.when, .soft, caption { color: var(--soft); }
.ending { display: inline-block; margin: 0.9rem 0 0; padding: 0.2rem 0.75rem; border: 1px solid currentColor; border-radius: 1rem; font-weight: 600; }
.good { color: var(--good); } .bad { color: var(--bad); } .late { color: var(--left); }
.problem { margin-top: 1rem; padding-left: 0.9rem; border-left: 3px solid var(--bad); overflow-wrap: anywhere; white-space: pre-line; }
.figures { display: grid; grid-template-columns: repeat(auto-fit, minmax(9.5rem, 1fr)); gap: 1px; margin: 1.75rem 1px 0; }
.figures div { padding: 0.7rem 0.9rem; box-shadow: 0 0 0 1px var(--line); }
.figures dt { color: var(--soft); font-size: 0.82rem; } .figures dd { margin: 0; font-size: 1.35rem; font-variant-numeric: tabular-nums; }
.figures small { display: block; color: var(--soft); font-size: 0.82rem; }
svg { display: block; overflow: visible; margin-top: 0.5rem; }
svg text { fill: var(--ink); font-size: 13px; } svg .tick { fill: var(--soft); font-size: 12px; font-variant-numeric: tabular-nums; }
svg line { stroke: var(--line); } svg .rail { fill: var(--rail); }
.shape { fill: var(--shape); } .take { fill: var(--take); } .take.odd { fill: var(--take-odd); } .encode { fill: var(--encode); } .file { fill: var(--file); }
.take.failed { fill: var(--bad); } .take.left, .take.stopped { fill: var(--left); }
.legend { display: flex; flex-wrap: wrap; gap: 0.3rem 1.2rem; margin: 0.5rem 0 0; padding: 0; list-style: none; color: var(--soft); font-size: 0.88rem; }
.legend svg { display: inline-block; width: 0.8rem; height: 0.8rem; margin: 0 0.4rem 0 0; vertical-align: -0.08rem; }
.table { overflow-x: auto; } .table:focus-visible { outline: 2px solid var(--take); outline-offset: 2px; }
table { border-collapse: collapse; width: 100%; font-size: 0.92rem; }
th, td { padding: 0.35rem 1.1rem 0.35rem 0; border-top: 1px solid var(--line); text-align: left; vertical-align: top; }
tbody th { min-width: 8rem; overflow-wrap: break-word; }
thead th, thead td { border-top: 0; }
thead th { color: var(--soft); font-weight: 400; white-space: nowrap; } tbody th { font-weight: 400; }
td.number, th.number { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
td.why { min-width: 16rem; white-space: pre-line; }
pre { margin: 0.4rem 0; padding: 0.7rem 0.9rem; background: var(--rail); white-space: pre-wrap; overflow-wrap: anywhere; font-size: 0.88rem; }
@media print { main { max-width: none; padding: 0; } h2, tr, svg { break-inside: avoid; } h2 { break-after: avoid; } }
`;
