// Filming: what is chosen for an athlete is uploaded in pieces that go on after a dropped
// connection (tus protocol), several clips at once.
/* global tus */

const list = document.getElementById('film')
const setting = document.getElementById('setting')
const said = document.getElementById('said')
const uploads = document.getElementById('uploads')
const remembered = 'steadfall-setting'
const under = new Set() // way

// The setting stays from clip to clip and from page to page of this phone.
try {
  const was = JSON.parse(sessionStorage.getItem(remembered) || '{}')
  for (const field of setting.elements) {
    if (field.name in was) field[field.type === 'checkbox' ? 'checked' : 'value'] = was[field.name]
  }
} catch { /* a setting that cannot be read is left as it is */ }
setting.addEventListener('change', () => {
  const now = {}
  for (const field of setting.elements) if (field.name) now[field.name] = field.type === 'checkbox' ? field.checked : field.value
  sessionStorage.setItem(remembered, JSON.stringify(now))
})

// One input for each way of choosing: with the camera, or a clip that is there.
const input = camera => {
  const i = document.createElement('input')
  i.type = 'file'
  i.accept = 'video/*'
  i.hidden = true
  if (camera) i.capture = 'environment'
  else i.multiple = true
  i.id = camera ? 'film-input' : 'choose-input'
  i.setAttribute('aria-label', camera ? 'Film' : 'Choose clips')
  i.addEventListener('change', () => {
    for (const file of i.files) send(file, i.dataset.athlete)
    i.value = ''
  })
  list.after(i)
  return i
}
const inputs = { film: input(true), choose: input(false) }

list.addEventListener('click', e => {
  const button = e.target.closest('button[data-athlete]')
  if (!button) return
  const i = 'film' in button.dataset ? inputs.film : inputs.choose
  i.dataset.athlete = button.dataset.athlete
  i.click()
})

const megabytes = n => (n / 1e6).toFixed(1)

function newKey () {
  return [...crypto.getRandomValues(new Uint8Array(16))].map(b => b.toString(16).padStart(2, '0')).join('')
}

function send (file, athlete) {
  const f = new FormData(setting)
  const row = document.createElement('li')
  const words = document.createElement('span')
  const bar = document.createElement('progress')
  const acts = document.createElement('span')
  acts.className = 'acts'
  bar.max = 1
  bar.value = 0
  bar.setAttribute('aria-label', `Upload for ${athlete}`)
  row.append(words, bar, acts)
  uploads.prepend(row)
  const say = text => { words.textContent = `${athlete}, ${file.name}: ${text}` }
  say('starts')
  const view = f.get('view')
  const metadata = {
    session: list.dataset.session, athlete, key: newKey(), task: f.get('task'), limb: f.get('limb'), view,
    wants: f.get('second') ? 'both' : view, box_cm: f.get('box_cm'), capture_fps: f.get('capture_fps'), mirrored: f.get('mirrored') ? 'yes' : 'no'
  }
  const ended = text => {
    under.delete(row)
    say(text)
    said.textContent = `${athlete}: ${text}`
    bar.remove()
    acts.replaceChildren()
  }
  const upload = new tus.Upload(file, {
    endpoint: '/upload/', metadata, chunkSize: 4 << 20, retryDelays: [0, 1000, 3000, 5000, 10000, 20000, 20000],
    headers: { 'X-Csrf': list.dataset.csrf }, removeFingerprintOnSuccess: true,
    // The same clip of the same athlete, and no other, goes on where it was.
    fingerprint: async (f) => ['steadfall', metadata.session, athlete, view, f.name, f.size, f.lastModified].join('-'),
    onShouldRetry: err => { const s = err.originalResponse ? err.originalResponse.getStatus() : 0; return s === 0 || s >= 500 || s === 423 || s === 409 && !/already/.test(err.originalResponse.getBody()) },
    onProgress: (sent, total) => { bar.value = sent / total; say(`${megabytes(sent)} of ${megabytes(total)} MB`) },
    onSuccess: () => ended('uploaded'),
    onError: err => {
      const answer = err.originalResponse
      if (answer && answer.getStatus() === 409 && /already/.test(answer.getBody())) return ended('was uploaded already')
      under.delete(row)
      say(answer ? answer.getBody().replace(/^REFUSED: /, '').trim() || 'the desk refused it' : 'the connection broke')
      const again = document.createElement('button')
      again.type = 'button'
      again.textContent = 'Go on'
      again.addEventListener('click', () => { acts.replaceChildren(); under.add(row); upload.start() })
      acts.replaceChildren(again)
    }
  })
  under.add(row)
  upload.findPreviousUploads().then(before => {
    if (before.length) upload.resumeFromPreviousUpload(before[0])
    upload.start()
  })
}

window.addEventListener('online', () => uploads.querySelectorAll('.acts button').forEach(b => b.click()))
window.addEventListener('beforeunload', e => { if (under.size) e.preventDefault() })
