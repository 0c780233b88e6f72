// Looks through the page that it stands in, with nothing but the page and the browser's own cryptography: SHA-256, Ed25519
// (RFC 8032), the proofs of RFC 6962. What it says is for whoever was given the page in good faith; see the text below it.
'use strict';
(async () => {
  const told = document.getElementById('verdict');
  const say = (verdict, text) => {
    const strong = document.createElement('strong');
    strong.textContent = verdict;
    told.replaceChildren(strong, ` ${text}`);
    told.className = verdict === 'FAILED.' ? 'stop' : '';
  };
  const text = (id) => document.getElementById(id).textContent;
  const utf8 = (it) => new TextEncoder().encode(it);
  const base64 = (it) => Uint8Array.from(atob(it), (letter) => letter.charCodeAt(0));
  const unhex = (it) => Uint8Array.from(it.match(/../g) ?? [], (pair) => parseInt(pair, 16));
  const hex = (it) => Array.from(it, (byte) => byte.toString(16).padStart(2, '0')).join('');
  const digest = async (...parts) => {
    const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
    let at = 0;
    for (const part of parts) {
      bytes.set(part, at);
      at += part.length;
    }
    return new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  };
  const that = (holds, what) => {
    if (!holds) throw new Error(what);
  };
  if (!globalThis.crypto?.subtle) {
    say('Not verified.', 'This browser offers no cryptography to a page that was opened in this way. VERIFY.txt in the bundle says how to check it otherwise.');
    return;
  }
  try {
    // A point that every browser with Ed25519 takes as a key: the first test of RFC 8032 section 7.1.
    await crypto.subtle.importKey('raw', unhex('d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a'), 'Ed25519', false, ['verify']);
  } catch {
    say('Not verified.', 'This browser cannot check an Ed25519 signature. VERIFY.txt in the bundle says how to check it otherwise.');
    return;
  }
  // The lines of a note that is signed with the key of the log of this name.
  const signed = async (note, name, key) => {
    that(hex(await digest(unhex(key))).slice(0, 32) === name.split('/').at(-1), `the key is not that of ${name}`);
    const end = note.indexOf('\n\n');
    const own = note.slice(end + 2).split('\n').map((line) => line.split(' ')).filter(([dash, by]) => dash === '\u2014' && by === name);
    that(end > 0 && own.length === 1, `nobody signed as ${name}`);
    const known = await crypto.subtle.importKey('raw', unhex(key), 'Ed25519', false, ['verify']);
    const holds = await crypto.subtle.verify('Ed25519', known, base64(own[0][2]).slice(4), utf8(note.slice(0, end + 1)));
    that(holds, `a signature of ${name} does not fit`);
    return note.slice(0, end).split('\n');
  };
  // The root to which a proof leads from a leaf (RFC 9162 section 2.1.3.2).
  const climb = async (leaf, seq, size, proof) => {
    let [place, last, node] = [seq, size - 1, leaf];
    that(place <= last, 'an entry lies beyond the end of its log');
    for (const step of proof.map(base64)) {
      that(last > 0, 'a proof is too long');
      if (place % 2 === 1 || place === last) {
        node = await digest([1], step, node);
        while (place % 2 === 0 && place > 0) [place, last] = [Math.floor(place / 2), Math.floor(last / 2)];
      } else {
        node = await digest([1], node, step);
      }
      [place, last] = [Math.floor(place / 2), Math.floor(last / 2)];
    }
    that(last === 0, 'a proof is too short');
    return hex(node);
  };
  try {
    const record = JSON.parse(text('record'));
    const note = await signed(text('signed'), record.log, record.key);
    const [form, job] = note;
    that(form === 'sidelong/page/v1' && job.startsWith('job ') && note[2] === `log ${record.log}`, 'what is signed is not about a page');
    let entries = 0;
    const named = new Set();
    for (const log of record.logs) {
      const [name, size, root] = await signed(log.checkpoint, log.log, log.key);
      that(name === log.log, `a head is not of ${log.log}`);
      for (const entry of log.entries) {
        const at = `entry ${entry.seq} of ${log.log}`;
        let leaf = unhex(entry.leaf);
        if (entry.event !== null) {
          leaf = await digest([0], utf8(entry.event));
          that(hex(leaf) === entry.leaf, `${at} was changed`);
          const event = JSON.parse(entry.event);
          that(event.log === log.log && event.seq === entry.seq, `${at} belongs elsewhere`);
          that((event.job ?? null) === (entry.of_job ? job.slice(4) : null), `${at} is of another job`);
          for (const blob of event.blobs ?? []) named.add(blob.sha256);
        }
        that(await climb(leaf, entry.seq, Number(size), entry.proof) === hex(base64(root)), `${at} is not in the log`);
        entries += entry.of_job ? 1 : 0;
      }
    }
    const shown = [...document.querySelectorAll('main img')];
    that(shown.length === record.pictures.length, 'a picture was added or taken away');
    for (const [index, [original, copy]] of record.pictures.entries()) {
      that(hex(await digest(base64(shown[index].src.split(',')[1]))) === copy, `picture ${index + 1} was changed`);
      that(named.has(original), `no entry names the photo of picture ${index + 1}`);
    }
    that(note[3] === `record-sha256 ${hex(await digest(utf8(text('record'))))}`, 'the record in this page was changed');
    that(note[4] === `words-sha256 ${hex(await digest(utf8(document.querySelector('main').textContent)))}`, 'the words of this page were changed');
    say('Holds together.', `The words of this page, its ${shown.length} pictures and ${entries} entries are those that ${record.log} signed, and each entry is in its log. Compare that name with one that you were given.`);
  } catch (why) {
    say('FAILED.', `This page is not as it was signed: ${why.message}.`);
  }
})();
