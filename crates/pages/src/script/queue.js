// What is sent from this phone: kept here first, sent in order, once. The laptop knows each sending by its id.
// Kept in the browser's own store (IndexedDB, W3C). Without that store a form goes the plain way.
"use strict";
const queue = (() => {
  let opened = null;
  const open = () => opened ??= new Promise((done, failed) => {
    const asked = indexedDB.open("bench", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("sendings", { keyPath: "turn", autoIncrement: true });
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => failed(asked.error);
  });
  const change = async (mode, work) => {
    const store = await open();
    return new Promise((done, failed) => {
      const change = store.transaction("sendings", mode, { durability: "strict" });
      const asked = work(change.objectStore("sendings"));
      change.oncomplete = () => done(asked.result);
      change.onerror = change.onabort = () => failed(change.error);
    });
  };
  return {
    put: (sending) => change("readwrite", (store) => store.add(sending)),
    all: () => change("readonly", (store) => store.getAll()),
    drop: (turn) => change("readwrite", (store) => store.delete(turn)),
    update: (sending) => change("readwrite", (store) => store.put(sending)),
  };
})();
