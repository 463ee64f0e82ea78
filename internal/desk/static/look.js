// Looking at a landing frame by frame, and correcting its points. The state is one object;
// whatever changes it calls draw(), which paints everything from it.

const data = JSON.parse(document.getElementById('data').textContent)
const $ = id => document.getElementById(id)
const colour = { left: '#0072B2', right: '#E69F00', '': '#555' }
const bones = [['shoulder', 'hip'], ['hip', 'knee'], ['knee', 'ankle'], ['ankle', 'heel'], ['heel', 'toe']]
const parts = ['shoulder', 'hip', 'knee', 'ankle', 'heel', 'toe']

const state = { view: 0, at: 0, point: '', zoom: 1, centre: null, edits: new Map(), done: [], undone: [], drag: null, saved: 0 }
const view = () => data.views[state.view]
const frame = () => view().frames[state.at]

// ---- pictures: fetched around the cursor, nearest first ----

const kept = new Map() // by view and frame: Promise of ImageBitmap, or the bitmap
const keepMost = 90
const key = (v, n) => `${v.view}/${n}`

function fetchFrame (v, n) {
  const k = key(v, n)
  if (kept.has(k)) {
    const was = kept.get(k)
    kept.delete(k)
    kept.set(k, was) // used last
    return was
  }
  const p = fetch(`/trial/${data.trial}/frame/${v.view}/${n}`)
    .then(r => r.ok ? r.blob() : Promise.reject(new Error('no picture')))
    .then(b => createImageBitmap(b))
    .then(bitmap => { kept.set(k, bitmap); return bitmap })
    .catch(() => { kept.delete(k); return null })
  kept.set(k, p)
  while (kept.size > keepMost) kept.delete(kept.keys().next().value)
  return p
}

let busy = false
async function prefetch () {
  if (busy) return
  busy = true
  for (let i = 0; i <= 30; i++) { // more on than back: that is how a landing is watched
    for (const at of i % 3 === 0 ? [state.at + i, state.at - i / 3] : [state.at + i]) {
      const n = view().frames[at]
      if (n !== undefined && view().clip && !kept.has(key(view(), n))) {
        const from = state.at
        await fetchFrame(view(), n)
        if (state.at !== from) i = -1 // the cursor has moved: start from there
      }
    }
  }
  busy = false
}

// ---- points ----

const editKey = (n, l) => `${view().view} ${n} ${l}`

// where is a point on a frame as it stands: as edited, else as placed, else as tracked.
function where (l, at = state.at) {
  const v = view()
  const e = state.edits.get(editKey(v.frames[at], l))
  if (e) return e.to
  const p = v.points[l] && v.points[l][at]
  return p && p[0] !== null ? [p[0], p[1]] : null
}

function landmarks () {
  const sides = view().view === 'front' ? ['right', 'left'] : [view().view.replace('side_', '')]
  return sides.flatMap(s => parts.map(p => `${s}_${p}`))
}

const degrees = r => r * 180 / Math.PI

// The same definitions as the measuring has, but from this frame's points alone.
function angles () {
  const out = []
  for (const side of ['right', 'left']) {
    const [h, k, a] = ['hip', 'knee', 'ankle'].map(p => where(`${side}_${p}`))
    if (!h || !k || !a || !landmarks().includes(`${side}_knee`)) continue
    if (view().view === 'front') {
      const d = degrees(Math.atan2(k[0] - h[0], k[1] - h[1]) - Math.atan2(a[0] - k[0], a[1] - k[1])) * (side === 'left' ? -1 : 1)
      out.push(`${side} knee ${d >= 0 ? 'in' : 'out'} ${Math.abs(d).toFixed(1)}°`)
    } else {
      const [u, w] = [[h[0] - k[0], h[1] - k[1]], [a[0] - k[0], a[1] - k[1]]]
      out.push(`${side} knee bent ${(180 - Math.abs(degrees(Math.atan2(u[0] * w[1] - u[1] * w[0], u[0] * w[0] + u[1] * w[1])))).toFixed(1)}°`)
    }
  }
  return out
}

// ---- drawing ----

function fit (canvas) {
  const k = devicePixelRatio || 1
  const w = canvas.clientWidth; const h = canvas.clientHeight
  if (canvas.width !== Math.round(w * k) || canvas.height !== Math.round(h * k)) {
    canvas.width = Math.round(w * k)
    canvas.height = Math.round(h * k)
  }
  const c = canvas.getContext('2d')
  c.setTransform(k, 0, 0, k, 0, 0)
  c.clearRect(0, 0, w, h)
  return { c, w, h }
}

// body is the room the athlete takes over the whole landing, which the picture shows.
function body (v) {
  if (v.body) return v.body
  let [x0, y0, x1, y1] = [Infinity, Infinity, -Infinity, -Infinity]
  for (const ps of Object.values(v.points)) {
    for (const p of ps) if (p[0] !== null) [x0, y0, x1, y1] = [Math.min(x0, p[0]), Math.min(y0, p[1]), Math.max(x1, p[0]), Math.max(y1, p[1])]
  }
  const tall = y1 - y0
  return (v.body = { x: (x0 + x1) / 2, y: (y0 + y1) / 2 - 0.1 * tall, w: x1 - x0 + 0.3 * tall, h: 1.4 * tall })
}

// lens is how clip pixels come onto the screen: [scale, x and y of the clip's corner].
function lens () {
  const v = view(); const b = body(v); const el = $('picture')
  const k = Math.min(el.clientWidth / b.w, el.clientHeight / b.h) * state.zoom
  const [cx, cy] = state.zoom > 1 && state.centre ? state.centre : [b.x, b.y]
  return [k, el.clientWidth / 2 - cx * k, el.clientHeight / 2 - cy * k]
}

function drawPoints (c, k, x, y, size) {
  const names = landmarks()
  const screen = l => { const p = where(l); return p && [p[0] * k + x, p[1] * k + y] }
  for (const side of ['right', 'left']) {
    for (const [a, b] of bones) {
      if (!names.includes(`${side}_${a}`) || view().view === 'front' && (b === 'heel' || b === 'toe')) continue
      const [p, q] = [screen(`${side}_${a}`), screen(`${side}_${b}`)]
      if (!p || !q) continue
      for (const [style, width] of [['#fff', 4], [colour[side], 2]]) {
        c.strokeStyle = style
        c.lineWidth = width
        c.beginPath()
        c.moveTo(...p)
        c.lineTo(...q)
        c.stroke()
      }
    }
  }
  for (const l of names) {
    const p = screen(l)
    if (!p) continue
    const placed = (view().placed[frame()] || {})[l] || state.edits.has(editKey(frame(), l))
    c.beginPath()
    if (placed) c.rect(p[0] - size, p[1] - size, 2 * size, 2 * size)
    else c.arc(p[0], p[1], size, 0, 7)
    c.fillStyle = colour[l.split('_')[0]]
    c.fill()
    c.lineWidth = l === state.point && editing() ? 3 : 1.5
    c.strokeStyle = '#fff'
    c.stroke()
    if (l === state.point && editing()) {
      c.beginPath()
      c.arc(p[0], p[1], size + 6, 0, 7)
      c.strokeStyle = '#fff'
      c.lineWidth = 2
      c.stroke()
    }
  }
}

const editing = () => $('placing').open && view().clip

let shown = '' // which picture is on the screen
async function drawPicture () {
  const v = view(); const n = frame()
  if (!v.clip) return
  const got = fetchFrame(v, n)
  const paint = picture => {
    if (view() !== v || frame() !== n) return
    const { c } = fit($('picture'))
    const [k, x, y] = lens()
    if (picture) c.drawImage(picture, x, y, v.width * k, v.height * k)
    drawPoints(c, k, x, y, 5)
    drawLoupe(picture)
    shown = key(v, n)
    $('picture').dataset.shown = shown
  }
  if (got instanceof Promise) paint(await got)
  else paint(got)
}

const loupeTimes = 4

function drawLoupe (picture) {
  const at = state.drag && state.drag.point && where(state.point)
  $('loupe').hidden = !at
  if (!at) return
  const v = view(); const [k, x] = lens()
  $('loupe').classList.toggle('right', at[0] * k + x < $('picture').clientWidth / 2)
  const { c, w, h } = fit($('loupe'))
  const big = loupeTimes * k
  c.fillStyle = '#10151a'
  c.fillRect(0, 0, w, h)
  if (picture) c.drawImage(picture, w / 2 - at[0] * big, h / 2 - at[1] * big, v.width * big, v.height * big)
  for (const [style, width] of [['#fff', 3], ['#000', 1]]) {
    c.strokeStyle = style
    c.lineWidth = width
    c.beginPath()
    c.moveTo(w / 2, 0); c.lineTo(w / 2, h / 2 - 6); c.moveTo(w / 2, h / 2 + 6); c.lineTo(w / 2, h)
    c.moveTo(0, h / 2); c.lineTo(w / 2 - 6, h / 2); c.moveTo(w / 2 + 6, h / 2); c.lineTo(w, h / 2)
    c.stroke()
  }
}

// doubt is how badly the points that decide are known on a frame: the mean sd of hips,
// knees and ankles, px.
function doubt (v, at) {
  let sum = 0; let n = 0
  for (const l of landmarks()) {
    if (!/_(hip|knee|ankle)$/.test(l) || (v.placed[v.frames[at]] || {})[l]) continue
    const p = v.points[l] && v.points[l][at]
    sum += p && p[2] !== null ? p[2] : 0.03 * v.height
    n++
  }
  return n ? sum / n : 0
}

function drawStrip () {
  const v = view(); const { c, w, h } = fit($('strip')); const n = v.frames.length
  const x = at => 8 + (w - 16) * at / Math.max(n - 1, 1)
  v.doubts = v.doubts || v.frames.map((_, at) => doubt(v, at))
  const most = Math.max(...v.doubts, 1)
  c.fillStyle = '#c7d3df'
  v.doubts.forEach((d, at) => { const t = (h - 12) * d / most; c.fillRect(x(at), h - t, Math.max((w - 16) / n, 1), t) })
  c.fillStyle = '#1b1f23'
  for (const m of v.marks) { // a triangle at each moment
    const at = nearest(m.frame)
    c.beginPath(); c.moveTo(x(at) - 5, 0); c.lineTo(x(at) + 5, 0); c.lineTo(x(at), 8); c.fill()
  }
  for (const f of Object.keys(v.placed)) { // a square at each frame that a person placed
    const at = nearest(+f)
    c.fillStyle = '#00694d'
    c.fillRect(x(at) - 4, h - 8, 8, 8)
  }
  c.fillStyle = '#B3470F'
  c.fillRect(x(state.at) - 1, 0, 2, h)
}

function drawCurves () {
  const v = view(); const { c, w, h } = fit($('curves'))
  const names = [...new Set(v.curves.map(k => k.name))].slice(0, 2)
  const t = v.curve_time_s || []
  if (!t.length || !names.length) return
  const [t0, t1] = [v.time_s[0], v.time_s[v.time_s.length - 1]]
  const x = s => 44 + (w - 52) * (s - t0) / Math.max(t1 - t0, 1e-6)
  const tall = h / names.length
  c.font = '12px system-ui, sans-serif'
  names.forEach((name, row) => {
    const lines = v.curves.filter(k => k.name === name)
    const all = lines.flatMap(k => k.values).filter(y => y !== null)
    const [low, high] = [Math.min(...all), Math.max(...all)]
    const y = s => row * tall + tall - 8 - (tall - 34) * (s - low) / Math.max(high - low, 1e-6)
    c.fillStyle = '#57606a'
    c.fillText(name, 4, row * tall + 13)
    c.fillText(high.toFixed(0) + lines[0].unit, 2, y(high) + 4)
    c.fillText(low.toFixed(0) + lines[0].unit, 2, y(low))
    for (const k of lines) {
      c.strokeStyle = k.side === 'right' ? '#B36B00' : colour[k.side]
      c.setLineDash(k.side === 'right' ? [5, 3] : [])
      c.lineWidth = 1.8
      c.beginPath()
      let pen = false
      k.values.forEach((s, i) => {
        if (s === null) { pen = false; return }
        if (pen) c.lineTo(x(t[i]), y(s)); else c.moveTo(x(t[i]), y(s))
        pen = true
      })
      c.stroke()
    }
    c.setLineDash([])
  })
  c.fillStyle = '#B3470F'
  c.fillRect(x(v.time_s[state.at]) - 1, 0, 2, h)
  $('legend').textContent = v.curves.some(k => k.side) ? 'left leg: whole line, right leg: dashed. The upright line is this frame.' : 'The upright line is this frame.'
}

function draw () {
  const v = view()
  const zero = (v.marks.find(m => m.name === 'Contact') || {}).frame
  const s = v.time_s[state.at] - (zero === undefined ? v.time_s[0] : v.time_s[nearest(zero)])
  $('now').textContent = `frame ${frame()}, ${s < 0 ? '−' : '+'}${Math.abs(s).toFixed(3)} s${zero === undefined ? '' : ' from contact'} · ${angles().join(' · ') || 'no angle here'}`
  $('scrub').value = state.at
  $('scrub').setAttribute('aria-valuetext', $('now').textContent)
  $('undo').disabled = !state.done.length
  $('redo').disabled = !state.undone.length
  $('save').disabled = !state.edits.size
  drawStrip()
  drawCurves()
  drawPicture()
  prefetch()
}

// ---- moving about ----

const nearest = n => {
  const f = view().frames
  let best = 0
  f.forEach((m, i) => { if (Math.abs(m - n) < Math.abs(f[best] - n)) best = i })
  return best
}

function go (at) {
  state.at = Math.max(0, Math.min(view().frames.length - 1, at))
  draw()
}

function show (i) {
  const t = data.views.length && state.shownOnce ? view().time_s[state.at] - zeroOf(view()) : 0
  state.view = i
  const v = view()
  $('scrub').max = v.frames.length - 1
  document.querySelectorAll('#views button').forEach((b, k) => b.setAttribute('aria-pressed', k === i))
  $('marks').replaceChildren(...v.marks.map(m => {
    const b = document.createElement('button')
    b.type = 'button'
    b.className = 'plain'
    b.textContent = m.name
    b.addEventListener('click', () => go(nearest(m.frame)))
    return b
  }))
  $('point').replaceChildren(...landmarks().map(l => new Option(l.replace('_', ' '), l)))
  state.point = landmarks().find(l => l.endsWith('knee'))
  $('point').value = state.point
  $('placing').hidden = !v.clip
  state.zoom = 1
  let best = 0 // the same moment of the other view
  v.time_s.forEach((s, k) => { if (Math.abs(s - zeroOf(v) - t) < Math.abs(v.time_s[best] - zeroOf(v) - t)) best = k })
  state.shownOnce = true
  go(best)
}

function zeroOf (v) {
  const m = v.marks.find(m => m.name === 'Contact')
  const i = m ? v.frames.indexOf(m.frame) : 0
  return v.time_s[Math.max(i, 0)]
}

function worst () {
  const v = view()
  const deciding = v.marks.length ? [Math.max(0, nearest(v.marks[0].frame) - 10), Math.min(v.frames.length - 1, nearest(v.marks[v.marks.length - 1].frame))] : [0, v.frames.length - 1]
  const order = v.doubts.map((d, at) => [d, at]).filter(([, at]) => at >= deciding[0] && at <= deciding[1]).sort((a, b) => b[0] - a[0])
  const spread = [] // frames a tenth of a second apart: one look serves its neighbours
  for (const [, at] of order) if (spread.length < 5 && spread.every(o => Math.abs(v.time_s[o] - v.time_s[at]) > 0.1)) spread.push(at)
  const here = spread.indexOf(state.at)
  if (spread.length) go(spread[(here + 1) % spread.length])
}

// ---- correcting points ----

function put (l, to, from) {
  state.done.push({ view: state.view, at: state.at, k: editKey(frame(), l), l, frame: frame(), from, to })
  state.undone = []
  apply(state.done[state.done.length - 1], true)
}

function apply (change, on) {
  const before = on ? change.to : change.from
  if (on) state.edits.set(change.k, { to: change.to, l: change.l, frame: change.frame, view: data.views[change.view].view })
  else {
    const earlier = state.done.filter(d => d.k === change.k).pop()
    if (earlier) state.edits.set(change.k, { ...state.edits.get(change.k), to: earlier.to })
    else state.edits.delete(change.k)
  }
  if (state.view !== change.view) show(change.view)
  state.point = change.l
  $('point').value = change.l
  $('moved').textContent = before ? `${change.l.replace('_', ' ')} on frame ${change.frame} ${on ? 'moved' : 'put back'}` : ''
  go(change.at)
}

function undo () { const c = state.done.pop(); if (c) { state.undone.push(c); apply(c, false) } }
function redo () { const c = state.undone.pop(); if (c) { state.done.push(c); apply(c, true) } }

function inside ([x, y]) {
  return [Math.max(0, Math.min(view().width - 1, x)), Math.max(0, Math.min(view().height - 1, y))].map(v => Math.round(v * 10) / 10)
}

function nudge (dx, dy) {
  const p = where(state.point)
  if (p && editing()) put(state.point, inside([p[0] + dx, p[1] + dy]), p)
}

function zoom (k) {
  state.zoom = Math.max(1, Math.min(8, state.zoom * k))
  state.centre = where(state.point) || [body(view()).x, body(view()).y]
  draw()
}

async function save () {
  const sets = {}
  for (const e of state.edits.values()) (sets[e.view] = sets[e.view] || []).push({ frame: e.frame, landmark: e.l, x: e.to[0], y: e.to[1] })
  $('save').disabled = true
  for (const [name, set] of Object.entries(sets)) {
    let answer
    try {
      answer = await fetch(`/trial/${data.trial}/points`, { method: 'POST', headers: { 'Content-Type': 'application/json', 'X-Csrf': data.csrf }, body: JSON.stringify({ view: name, set, gone: [] }) })
    } catch { /* answer stays empty */ }
    if (!answer || !answer.ok) {
      $('moved').textContent = answer ? 'The desk refused these points; open the page again.' : 'The connection broke; nothing was saved, try again.'
      $('save').disabled = false
      return
    }
    for (const [k, e] of [...state.edits]) if (e.view === name) state.edits.delete(k)
    const v = data.views.find(v => v.view === name)
    for (const p of set) {
      (v.placed[p.frame] = v.placed[p.frame] || {})[p.landmark] = [p.x, p.y]
      v.points[p.landmark][v.frames.indexOf(p.frame)] = [p.x, p.y, 2]
    }
    v.doubts = null
  }
  state.done = []
  state.undone = []
  $('moved').textContent = 'Saved.'
  draw()
  window.htmx.ajax('GET', `/trial/${data.trial}/again`, '#again')
}

// ---- hands and keys ----

const stage = $('picture')
const clipPoint = e => { const r = stage.getBoundingClientRect(); const [k, x, y] = lens(); return [(e.clientX - r.left - x) / k, (e.clientY - r.top - y) / k] }

const fingers = new Map() // those on the picture, by their number
let pinch = null

// Two fingers zoom about what lies between them; a point that one of them held goes back.
function startPinch () {
  const d = state.drag
  if (d && d.point) {
    const k = editKey(frame(), state.point)
    const before = state.done.filter(c => c.k === k).pop()
    if (before) state.edits.set(k, { to: before.to, l: state.point, frame: frame(), view: view().view })
    else state.edits.delete(k)
  }
  state.drag = null
  const [a, b] = [...fingers.values()]
  const [p, q] = [clipPoint(a), clipPoint(b)]
  pinch = { apart: Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY), zoom: state.zoom, centre: [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2] }
}

function movePinch () {
  const [a, b] = [...fingers.values()]
  state.zoom = Math.max(1, Math.min(8, pinch.zoom * Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY) / pinch.apart))
  state.centre = pinch.centre
  draw()
}

stage.addEventListener('pointerdown', e => {
  fingers.set(e.pointerId, e)
  stage.setPointerCapture(e.pointerId)
  if (fingers.size === 2) { startPinch(); return }
  const p = clipPoint(e); const [k] = lens()
  state.drag = { x: e.clientX, y: e.clientY, at: state.at, from: p, centre: state.centre }
  if (editing()) {
    const reach = 28 / k
    const l = landmarks().map(l => [l, where(l)]).filter(([, q]) => q).map(([l, q]) => [l, Math.hypot(q[0] - p[0], q[1] - p[1])]).sort((a, b) => a[1] - b[1])[0]
    if (l && l[1] < reach) {
      state.point = l[0]
      $('point').value = l[0]
      state.drag.point = true
      state.drag.was = where(l[0])
    }
  }
  draw()
})
stage.addEventListener('pointermove', e => {
  if (fingers.has(e.pointerId)) fingers.set(e.pointerId, e)
  if (pinch && fingers.size === 2) { movePinch(); return }
  const d = state.drag
  if (!d) return
  if (d.point) { // the finger keeps its distance, so that it does not cover the point
    const p = clipPoint(e)
    d.to = inside([d.was[0] + p[0] - d.from[0], d.was[1] + p[1] - d.from[1]])
    state.edits.set(editKey(frame(), state.point), { to: d.to, l: state.point, frame: frame(), view: view().view })
    draw()
  } else if (state.zoom > 1) {
    const [k] = lens(); const b = body(view())
    const c = d.centre || [b.x, b.y]
    state.centre = [c[0] - (e.clientX - d.x) / k, c[1] - (e.clientY - d.y) / k]
    draw()
  } else {
    go(d.at + Math.round((e.clientX - d.x) / 12)) // a swipe goes through the frames
  }
})
const letGo = e => {
  fingers.delete(e.pointerId)
  if (fingers.size < 2) pinch = null
  const d = state.drag
  state.drag = null
  if (d && d.point && d.to) put(state.point, d.to, d.was)
  else draw()
}
stage.addEventListener('pointerup', letGo)
stage.addEventListener('pointercancel', letGo)

$('scrub').addEventListener('input', e => go(+e.target.value))
$('point').addEventListener('change', e => { state.point = e.target.value; draw() })
$('placing').addEventListener('toggle', () => { document.querySelector('.stage').classList.toggle('placing', editing()); draw() })
$('undo').addEventListener('click', undo)
$('redo').addEventListener('click', redo)
$('save').addEventListener('click', save)
$('nearer').addEventListener('click', () => zoom(1.5))
$('farther').addEventListener('click', () => zoom(1 / 1.5))
$('worst').addEventListener('click', worst)
document.querySelectorAll('[data-step]').forEach(b => b.addEventListener('click', () => go(state.at + +b.dataset.step)))
document.querySelectorAll('[data-nudge]').forEach(b => b.addEventListener('click', () => nudge(...b.dataset.nudge.split(',').map(Number))))
document.querySelectorAll('[data-frame]').forEach(b => b.addEventListener('click', () => {
  const i = data.views.findIndex(v => v.view === b.dataset.view)
  if (i >= 0 && i !== state.view) show(i)
  go(nearest(+b.dataset.frame))
  $('look').scrollIntoView()
}))

const mark = name => { const m = view().marks.find(m => m.name === name); if (m) go(nearest(m.frame)) }
const arrows = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }
document.addEventListener('keydown', e => {
  if (e.ctrlKey || e.metaKey || e.altKey || /^(INPUT|SELECT|TEXTAREA)$/.test(e.target.tagName) && e.target.id !== 'scrub') return
  if (e.key in arrows) {
    if (!editing() || e.target.id === 'scrub') {
      if (e.target.id !== 'scrub' && arrows[e.key][0]) go(state.at + arrows[e.key][0]); else return
    } else nudge(...arrows[e.key].map(v => v * (e.shiftKey ? 5 : 1)))
    e.preventDefault()
    return
  }
  const does = {
    ',': () => go(state.at - 1), '.': () => go(state.at + 1), '<': () => go(state.at - 10), '>': () => go(state.at + 10), ';': () => go(state.at - 10), ':': () => go(state.at + 10),
    c: () => mark('Contact'), d: () => mark('Deepest'), h: () => mark('Still'), z: undo, y: redo, '+': () => zoom(1.5), '-': () => zoom(1 / 1.5),
    p: () => { const ls = landmarks(); state.point = ls[(ls.indexOf(state.point) + 1) % ls.length]; $('point').value = state.point; draw() }
  }[e.key]
  if (does) { does(); e.preventDefault() }
})
window.addEventListener('resize', draw)
window.addEventListener('beforeunload', e => { if (state.edits.size) e.preventDefault() })

// ---- begin ----

if (data.views.length > 1) {
  $('views').replaceChildren(...data.views.map((v, i) => {
    const b = document.createElement('button')
    b.type = 'button'
    b.textContent = v.view === 'front' ? 'From the front' : 'From the side'
    b.addEventListener('click', () => show(i))
    return b
  }))
}
if (data.views.length) {
  if (!data.views.some(v => v.clip)) document.querySelector('.stage').hidden = true
  show(0)
}
