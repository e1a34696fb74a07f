(function () {
  "use strict";
  var form = document.getElementById("page-review");
  var button = document.getElementById("page-review-save");
  var who = document.getElementById("page-review-by");
  var other = document.getElementById("page-review-other");
  var day = document.getElementById("page-review-day");
  var wrong = document.getElementById("page-review-wrong");
  var rows = form.querySelectorAll("[data-section]");
  button.hidden = false;
  rows.forEach(function (row) {
    var chapter = document.getElementById(row.dataset.section);
    if (!chapter) return;
    var line = document.createElement("p");
    var link = document.createElement("a");
    line.className = "ask";
    link.href = "#" + row.id;
    link.textContent = "Remark on this chapter";
    line.appendChild(link);
    chapter.appendChild(line);
  });
  function isDay(text) {
    var date = new Date(text + "T00:00:00Z");
    return /^\d{4}-\d{2}-\d{2}$/.test(text) && !isNaN(date) && date.toISOString().slice(0, 10) === text;
  }
  button.addEventListener("click", function () {
    var remarks = [];
    var mistakes = [];
    var by = (who.value === "other" ? other.value : who.value).trim();
    var on = day.value.trim();
    if (!/^[A-Za-z0-9][A-Za-z0-9._-]*$/.test(by)) mistakes.push("Choose who you are, or write an id: letters, digits, points and hyphens.");
    if (!isDay(on)) mistakes.push("Write the day of your remarks as YYYY-MM-DD.");
    rows.forEach(function (row) {
      var decision = row.querySelector("select").value;
      var text = row.querySelector("textarea").value.trim();
      var title = row.querySelector("th").textContent.trim();
      if (text && !decision) mistakes.push(title + ": choose agree, question or object.");
      else if (decision && decision !== "agree" && !text) mistakes.push(title + ": write what you " + decision + ".");
      else if (decision) remarks.push({ section: row.dataset.section, decision: decision, text: text });
    });
    if (remarks.length === 0 && mistakes.length === 0) mistakes.push("Nothing was decided or written yet.");
    wrong.textContent = mistakes.join(" ");
    if (mistakes.length > 0) return;
    var file = {
      schema: "galipot.remarks/2",
      assembly: form.dataset.assembly,
      document: form.dataset.document,
      revision: form.dataset.revision,
      digest: form.dataset.digest,
      by: by,
      date: on,
      remarks: remarks
    };
    var link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(file, null, 2) + "\n"], { type: "application/json" }));
    link.download = "remarks-" + file.document + "-" + file.revision + "-" + by.replace(/[^A-Za-z0-9-]/g, "_") + ".json";
    document.body.appendChild(link);
    link.click();
    link.remove();
  });
})();
