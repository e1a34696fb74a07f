(function () {
  "use strict";
  var form = document.getElementById("page-review");
  var button = document.getElementById("page-review-save");
  button.hidden = false;
  button.addEventListener("click", function () {
    var remarks = [];
    form.querySelectorAll("[data-section]").forEach(function (row) {
      var decision = row.querySelector("select").value;
      var text = row.querySelector("textarea").value.trim();
      if (decision || text) remarks.push({ section: row.dataset.section, decision: decision || "question", text: text });
    });
    var file = {
      schema: "galipot.remarks/1",
      assembly: form.dataset.assembly,
      document: form.dataset.document,
      revision: form.dataset.revision,
      digest: form.dataset.digest,
      by: form.querySelector("input").value.trim(),
      remarks: remarks
    };
    var link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([JSON.stringify(file, null, 2) + "\n"], { type: "application/json" }));
    link.download = "remarks-" + file.document + "-" + file.revision + "-" + (file.by || "nobody").replace(/[^A-Za-z0-9-]/g, "_") + ".json";
    document.body.appendChild(link);
    link.click();
    link.remove();
  });
})();
