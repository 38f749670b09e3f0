
// Sorting and printing. The report is whole without it.
(function () {
  'use strict';
  var words = document.currentScript.dataset;

  function button(text, label) {
    var b = document.createElement('button');
    b.type = 'button';
    b.textContent = text;
    if (label) b.setAttribute('aria-label', label);
    return b;
  }

  // "1 234,5 mm" and "−2.7 µm/K" are numbers; what has none sorts as words, behind them.
  function key(cell) {
    var text = cell.textContent.trim();
    var m = /^([−-]?)([\d \u00a0\u202f]*[.,]?\d+)/.exec(text);
    return m ? parseFloat(m[2].replace(/[ \u00a0\u202f]/g, '').replace(',', '.')) * (m[1] ? -1 : 1) : text;
  }

  function order(a, b) {
    if (typeof a === typeof b) return a < b ? -1 : a > b ? 1 : 0;
    return typeof a === 'number' ? -1 : 1;
  }

  document.querySelectorAll('table.wide').forEach(function (table) {
    table.querySelectorAll('th').forEach(function (head, column) {
      var b = button(head.textContent, words.sort + ' ' + head.textContent);
      head.textContent = '';
      head.appendChild(b);
      b.addEventListener('click', function () {
        var up = head.getAttribute('aria-sort') !== 'ascending', body = table.tBodies[0];
        table.querySelectorAll('th').forEach(function (h) { h.removeAttribute('aria-sort'); });
        head.setAttribute('aria-sort', up ? 'ascending' : 'descending');
        Array.prototype.map.call(body.rows, function (row, at) {
          return { row: row, at: at, key: key(row.cells[column]) };
        }).sort(function (a, b) {
          return (up ? 1 : -1) * order(a.key, b.key) || a.at - b.at;
        }).forEach(function (r) { body.appendChild(r.row); });
      });
    });
  });

  var print = button(words.print);
  print.className = 'print';
  print.addEventListener('click', function () { window.print(); });
  document.querySelector('nav').appendChild(print);

  // The reasons of the limits are printed too, and folded again. The long list of values, and pictures in words beside the
  // pictures, are printed where the reader has opened them.
  var folded = [];
  window.addEventListener('beforeprint', function () {
    folded = Array.prototype.slice.call(document.querySelectorAll('details#reasons:not([open])'));
    folded.forEach(function (d) { d.open = true; });
  });
  window.addEventListener('afterprint', function () {
    folded.forEach(function (d) { d.open = false; });
  });
})();
