// The pattern room: a drawing changed by press, drag and keys, with both faces of it at true proportion.
const root = document.getElementById('pattern');
const area = document.getElementById('signs');
const tbody = root.querySelector('tbody');
const found = document.getElementById('found');
const said = document.getElementById('row-said');
const MOST = { wide: 200, high: 200 };
for (const e of document.querySelectorAll('.drawing')) e.hidden = false;
root.style.setProperty('--first', root.dataset.first);
root.style.setProperty('--second', root.dataset.second);

// Rows of signs, the first knitted first.
let rows = area.value.trim().split('\n').map((r) => [...r.trim()]).reverse();
let sign = '2';
let publicSide = false;
let at = [0, 0];
const before = [];
let cells = [];
let after = [];
const fill = (text, values) => text.replace(/%(\w+)%/g, (_, k) => values[k]);
const words = Object.fromEntries([...root.querySelectorAll('[role=radio]')].map((b) => [b.dataset.sign, b.querySelector('span:not(.sample)').textContent]));
const wide = () => rows[0].length;
const column = (i) => (publicSide ? wide() - 1 - i : i);
const copy = () => rows.map((r) => r.slice());

function remember() { before.push(copy()); after = []; if (before.length > 400) before.shift(); }
function label(r, c) { return fill(root.dataset.cell, { row: r + 1, needle: c + 1, does: words[rows[r][c]] }); }

function dress(td, r, c) {
  td.dataset.sign = rows[r][c];
  td.setAttribute('aria-label', label(r, c));
}
function build() {
  tbody.textContent = '';
  cells = rows.map(() => []);
  for (let r = rows.length - 1; r >= 0; r--) {
    const tr = document.createElement('tr');
    const th = document.createElement('th');
    th.scope = 'row'; th.textContent = r + 1;
    tr.append(th);
    for (let i = 0; i < wide(); i++) {
      const td = document.createElement('td');
      td.setAttribute('role', 'gridcell');
      td.dataset.r = r; td.dataset.c = column(i);
      td.tabIndex = -1;
      dress(td, r, column(i));
      cells[r][column(i)] = td;
      tr.append(td);
    }
    tbody.append(tr);
  }
  at = [Math.min(at[0], rows.length - 1), Math.min(at[1], wide() - 1)];
  cellOf(at).tabIndex = 0;
  changed();
}
function cellOf([r, c]) { return cells[r]?.[c]; }
function go(r, c, focus = true) {
  cellOf(at).tabIndex = -1;
  at = [Math.max(0, Math.min(rows.length - 1, r)), Math.max(0, Math.min(wide() - 1, c))];
  const td = cellOf(at);
  td.tabIndex = 0;
  if (focus) td.focus();
  sayRow();
}
function put(r, c, s) {
  if (rows[r][c] === s) return;
  rows[r][c] = s;
  dress(cellOf([r, c]), r, c);
  changed();
}
function sayRow() {
  const row = rows[at[0]];
  const parts = Object.keys(words).filter((s) => s !== 'k' && row.includes(s)).map((s) => `${words[s]}: ${row.flatMap((x, i) => (x === s ? [i + 1] : [])).join(', ')}`);
  said.textContent = `${fill(root.dataset.row, { row: at[0] + 1 })} ${parts.join('; ') || words.k}.`;
}

// Presses and drags.
let painting = null;
tbody.addEventListener('pointerdown', (e) => {
  const td = e.target.closest('td');
  if (!td || e.button) return;
  e.preventDefault();
  remember();
  const [r, c] = [+td.dataset.r, +td.dataset.c];
  painting = rows[r][c] === sign ? 'k' : sign;
  put(r, c, painting);
  go(r, c);
});
addEventListener('pointermove', (e) => {
  if (painting === null) return;
  const td = document.elementFromPoint(e.clientX, e.clientY)?.closest('.chart td');
  if (td) put(+td.dataset.r, +td.dataset.c, painting);
});
addEventListener('pointerup', () => { painting = null; });

// Whichever cell has the focus is the one that keys change.
tbody.addEventListener('focusin', (e) => {
  const td = e.target.closest('td');
  if (!td || (+td.dataset.r === at[0] && +td.dataset.c === at[1])) return;
  cellOf(at).tabIndex = -1;
  at = [+td.dataset.r, +td.dataset.c];
  td.tabIndex = 0;
  sayRow();
});

// Keys.
tbody.addEventListener('keydown', (e) => {
  const [r, c] = at;
  const step = publicSide ? -1 : 1;
  const way = { ArrowUp: [1, 0], ArrowDown: [-1, 0], ArrowLeft: [0, -step], ArrowRight: [0, step] }[e.key];
  if (way) {
    e.preventDefault();
    const s = rows[r][c];
    go(r + way[0], c + way[1]);
    if (e.shiftKey && rows[at[0]][at[1]] !== s) { remember(); put(at[0], at[1], s); sayRow(); }
  } else if (e.key === 'Home' || e.key === 'End') {
    e.preventDefault();
    go(r, (e.key === 'Home') !== publicSide ? 0 : wide() - 1);
  } else if (e.key === ' ' || e.key === 'Enter') {
    e.preventDefault();
    remember();
    put(r, c, rows[r][c] === sign ? 'k' : sign);
    sayRow();
  }
});
addEventListener('keydown', (e) => {
  if (e.target.matches('input, textarea')) return;
  const key = e.key.toLowerCase();
  if ((e.ctrlKey || e.metaKey) && (key === 'z' || key === 'y')) {
    e.preventDefault();
    act(key === 'y' || e.shiftKey ? 'redo' : 'undo');
  } else if (/^[1-7]$/.test(e.key) && !e.ctrlKey && !e.metaKey && !e.altKey) choose(root.querySelectorAll('[role=radio]')[e.key - 1]);
});

function choose(button) {
  sign = button.dataset.sign;
  for (const b of root.querySelectorAll('[role=radio]')) { b.setAttribute('aria-checked', String(b === button)); b.tabIndex = b === button ? 0 : -1; }
}
root.querySelector('.signs').addEventListener('keydown', (e) => {
  const all = [...root.querySelectorAll('[role=radio]')];
  const by = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[e.key];
  if (!by) return;
  e.preventDefault();
  const next = all[(all.findIndex((b) => b.dataset.sign === sign) + by + all.length) % all.length];
  choose(next);
  next.focus();
});
function act(what) {
  if (what === 'undo' || what === 'redo') {
    const [from, to] = what === 'undo' ? [before, after] : [after, before];
    if (!from.length) return;
    to.push(copy());
    rows = from.pop();
    build();
    return;
  }
  remember();
  if (what === 'mirror') rows.forEach((r) => r.reverse());
  if (what === 'swap') rows = rows.map((r) => r.map((s) => ({ k: '2', 2: 'k' }[s] || s)));
  if (what === 'wider' && wide() < MOST.wide) rows.forEach((r) => r.push('k'));
  if (what === 'narrower' && wide() > 1) rows.forEach((r) => r.pop());
  if (what === 'taller' && rows.length < MOST.high) rows.push(Array(wide()).fill('k'));
  if (what === 'shorter' && rows.length > 1) rows.pop();
  build();
}
root.addEventListener('click', (e) => {
  const b = e.target.closest('button');
  if (!b) return;
  if (b.dataset.sign) choose(b);
  if (b.dataset.do) act(b.dataset.do);
  if (b.dataset.put) { remember(); put(+b.dataset.atRow, +b.dataset.atCell, b.dataset.put); go(+b.dataset.atRow, +b.dataset.atCell); }
});
document.querySelector('.choice').addEventListener('click', (e) => {
  const b = e.target.closest('button[data-side]');
  if (!b) return;
  publicSide = b.dataset.side === 'public';
  for (const o of b.parentElement.querySelectorAll('button')) o.setAttribute('aria-pressed', String(o === b));
  build();
});

// Both faces, a stitch at its true proportion, the repeat again and again.
const style = getComputedStyle(root);
function face(canvas, fromPublic) {
  const ctx = canvas.getContext('2d');
  const rise = +root.dataset.rise;
  const n = wide();
  const across = Math.max(24, Math.ceil(1.5 * n));
  const w = canvas.width / across;
  const h = w * rise;
  const colour = { k: style.getPropertyValue('--first'), 2: style.getPropertyValue('--second') };
  ctx.fillStyle = '#4A5257';
  ctx.fillRect(0, 0, canvas.width, canvas.height);
  ctx.lineCap = 'round';
  const up = Math.ceil(canvas.height / h) + 1;
  const moves = (s) => s === '<' || s === '>';
  const knits = (s) => s === 'k' || s === '2' || s === 'w' || moves(s);
  // Each kind of stitch is drawn once and then set many times: thousands of strokes are slow.
  const stamps = new Map();
  const stamp = (kind, c, high, draw) => {
    const key = `${kind} ${c}`;
    if (!stamps.has(key)) {
      const small = document.createElement('canvas');
      small.width = Math.ceil(2 * w); small.height = Math.ceil(2 * high);
      const p = small.getContext('2d');
      p.scale(small.width / w, small.height / high);
      p.lineCap = 'round';
      p.strokeStyle = colour[c];
      p.beginPath();
      draw(p);
      p.stroke();
      stamps.set(key, small);
    }
    return stamps.get(key);
  };
  const vee = (p) => { p.lineWidth = w * 0.36; p.moveTo(w * 0.2, h * 0.2); p.lineTo(w * 0.45, h * 1.05); p.moveTo(w * 0.8, h * 0.2); p.lineTo(w * 0.55, h * 1.05); };
  const head = (rise) => (p) => { p.lineWidth = w * 0.3; p.moveTo(0, h * 0.9); p.quadraticCurveTo(w / 2, h * rise, w, h * 0.9); };
  const across1 = (thick, at) => (p) => { p.lineWidth = w * thick; p.moveTo(0, h * at); p.lineTo(w, h * at); };
  for (let j = up; j >= 0; j--) {
    const row = rows[j % rows.length];
    const two = row.includes('2') && row.includes('k');
    const alone = row.includes('2') && !two;
    const y = canvas.height - (j + 1) * h;
    for (let i = 0; i < across; i++) {
      const s = row[fromPublic ? n - 1 - (i % n) : i % n];
      const x = i * w;
      const own = s === '2' || (alone && s !== 'w') ? '2' : 'k';
      if (moves(s)) {
        // The new loop over the emptied needle, with a hole below it.
        ctx.drawImage(stamp('eyelet', own, h, across1(0.2, 0.15)), x, y, w, h);
      } else if (fromPublic && knits(s)) {
        // A stitch reaches down over the rows in which its needle tucked or slipped.
        let low = j;
        while (low > 0 && !knits(rows[(low - 1) % rows.length][n - 1 - (i % n)]) && j - low < rows.length) low--;
        ctx.drawImage(stamp('vee', own, h * 1.25, vee), x, y - h * 0.2, w, (j - low) * h + h * 1.25);
      } else if (!fromPublic && s !== '-') {
        const rise = s === 't' ? -0.3 : 0.2;
        ctx.drawImage(stamp(s === 't' ? 'tuck' : 'head', own, h * 1.1, head(rise)), x, y - h * 0.2, w, h * 1.1);
        if (s === 'w' || two) ctx.drawImage(stamp('float', own === '2' ? 'k' : '2', h, across1(0.14, 0.55)), x, y, w, h);
      } else if (!fromPublic) {
        ctx.drawImage(stamp('slip', own, h, across1(0.16, 0.5)), x, y, w, h);
      }
    }
  }
}

let asked = 0;
let drawing = 0;
function changed() {
  sayRow();
  area.value = rows.slice().reverse().map((r) => r.join('')).join('\n');
  document.getElementById('count').textContent = fill(root.dataset.count, { needles: wide(), rows: rows.length });
  for (const b of root.querySelectorAll('[data-do=undo]')) b.disabled = !before.length;
  for (const b of root.querySelectorAll('[data-do=redo]')) b.disabled = !after.length;
  if (!drawing) drawing = requestAnimationFrame(() => { drawing = 0; for (const c of root.querySelectorAll('canvas')) face(c, c.dataset.face === 'public'); });
  const mine = ++asked;
  setTimeout(async () => {
    if (mine !== asked) return;
    const body = new URLSearchParams({ rows: area.value, fabric: document.getElementById('pattern-name').value });
    const answer = await fetch(root.dataset.look, { method: 'POST', headers: { 'x-work': '1' }, body });
    if (!answer.ok || mine !== asked) return;
    found.innerHTML = await answer.text();
    for (const td of tbody.querySelectorAll('td.flagged')) td.classList.remove('flagged');
    for (const b of found.querySelectorAll('[data-put]')) cellOf([+b.dataset.atRow, +b.dataset.atCell])?.classList.add('flagged');
  }, 30);
}
build();
