// Starts `linenleaf editor` when a chart is opened, and lets the editor talk to it.
"use strict";

const { workspace } = require("vscode");
const { LanguageClient } = require("vscode-languageclient/node");

let client;

exports.activate = () => {
  const command = workspace.getConfiguration("linenleaf").get("command");
  client = new LanguageClient(
    "linenleaf",
    "linenleaf",
    { command, args: ["editor", "--stdio"] },
    { documentSelector: [{ language: "linen" }] },
  );
  return client.start();
};

exports.deactivate = () => client?.stop();
