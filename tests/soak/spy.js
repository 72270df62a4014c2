// Tells the test what a page does, from the browser's own events and not from the page's word: forms that were sent
// off, what became durable in the phone's store, what went over the air, and every change of the saving line.
(() => {
  if (!location.protocol.startsWith("http")) return;
  const clock = Date.now.bind(Date);
  const markIn = (text) => (String(text).match(/\bmark-\d+-\d+\b/) || [null])[0];
  const tell = (what, more) => {
    const { person } = document.documentElement ? document.documentElement.dataset : {};
    if (window.soakTold) window.soakTold({ what, at: clock(), person: person || "", ...more });
  };

  addEventListener("submit", (event) => {
    const said = [...new FormData(event.target).values()].filter((value) => typeof value === "string");
    tell("tapped", { mark: markIn(said.join("\n")) });
  }, true);

  const onDisk = (what, source, record) => {
    const store = source.objectStore || source;
    if (store.name !== "waiting") return;
    const mark = markIn(JSON.stringify(record.fields));
    store.transaction.addEventListener("complete", () => tell(what, { mark, form: record.id }));
  };
  const add = IDBObjectStore.prototype.add;
  IDBObjectStore.prototype.add = function (record, ...rest) {
    onDisk("kept", this, record);
    return add.call(this, record, ...rest);
  };
  const remove = IDBCursor.prototype.delete;
  IDBCursor.prototype.delete = function () {
    onDisk("gone", this.source, this.value);
    return remove.call(this);
  };

  const ask = window.fetch;
  window.fetch = (where, options) => {
    const form = options && options.body instanceof FormData && options.body.get("form_id");
    if (form) tell("sent", { form, mark: markIn([...options.body.values()].join("\n")) });
    return ask.call(window, where, options);
  };
  const send = XMLHttpRequest.prototype.send;
  XMLHttpRequest.prototype.send = function (body) {
    if (body instanceof FormData && body.get("photo")) tell("sent photo", {});
    return send.call(this, body);
  };

  let last = "";
  new MutationObserver(() => {
    const line = document.querySelector("[data-saving]");
    if (!line) return;
    // What a person sees: nothing while it is not drawn, and never what is for pages without scripts.
    const drawn = line.getClientRects().length > 0;
    const now = { state: line.dataset.state || "", words: drawn ? line.innerText.trim() : "" };
    if (JSON.stringify(now) === last) return;
    last = JSON.stringify(now);
    tell("line", now);
  }).observe(document, { subtree: true, childList: true, characterData: true, attributes: true });
})();
