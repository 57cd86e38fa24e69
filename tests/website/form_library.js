// The website's questions in a page of somebody else's, by a form library that knows nothing of
// them: it gets the schema as it is and hands over a value, which is sent as it is.
import { createElement } from "react";
import { createRoot } from "react-dom/client";
import Form from "@rjsf/core";
import { customizeValidator } from "@rjsf/validator-ajv8";
import Ajv2020 from "ajv/dist/2020.js";

const { service, key } = document.body.dataset;
const headers = { Authorization: `Bearer ${key}`, "Content-Type": "application/json" };
const asked = await fetch(`${service}/v1/website/form`, { headers });
const { schema, defaults, form_version } = await asked.json();
window.schema = schema;

async function send({ formData }) {
  const body = JSON.stringify({ answers: formData, form_version });
  const answer = await fetch(`${service}/v1/website/price-range`, { method: "POST", headers, body });
  window.answered = { status: answer.status, sent: formData, answer: await answer.json() };
}

const validator = customizeValidator({ AjvClass: Ajv2020 });
// Its usual way is to take the first choice of a question for the answer of who gave none.
const experimental_defaultFormStateBehavior = { constAsDefaults: "skipOneOf" };
const given = { schema, formData: defaults, validator, experimental_defaultFormStateBehavior };
createRoot(document.getElementById("form")).render(createElement(Form, { ...given, onSubmit: send }));
