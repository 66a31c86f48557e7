/**
 * Stillroom for tree-sitter: what an editor needs to colour, fold and outline a file.
 *
 * A statement is a word that opens it, or the name of a material, and what goes on with it up to the line's end. Which
 * words open one and which go on with it, block by block, stands in words.json, made of the language's own grammar by
 * `STILLROOM_WRITE=1 cargo test --test generated`, which makes src/ of this file too.
 */

const { blocks, units, values } = require("./words.json");

// Whose names are words out of closed lists, or codes of diagnostics.
const WORDED = {
  substance: ["charge"],
  material: ["role", "phase", "does", "protects", "bears", "avoid"],
  formula: ["product", "market", "allow"],
  variant: ["product", "market", "allow"],
  phase: ["allow"],
  variant_phase: ["allow"],
  rule: ["product", "market", "level"],
  batch: [],
  plan: ["product", "market"],
  maker: ["responsible"],
  container: [],
  stock: [],
  file: [],
};

// What opens a block of its own inside another, and so is no plain field.
const NESTED = ["phase", "steps", "plan", "let", "add"];

const keyword = ($, word) => alias(word, $.keyword);
const oneOf = ($, words) => choice(...words.map((word) => keyword($, word)));

/** Statements between braces, parted by the ends of lines. */
const braced = ($, ...statements) => {
  const statement = choice(...statements);
  return seq(
    "{",
    repeat($._newline),
    optional(seq(statement, repeat(seq(repeat1($._newline), statement)), repeat($._newline))),
    "}",
  );
};

/** A block that has a name: its opening word, the name, and its braces. */
const named = ($, word, block, ...more) =>
  seq(keyword($, word), field("name", $.name), ...more, field("body", alias(block, $.block)));

/** The rules of what stands in a block: its fields, and what goes on with them. */
function statementsOf(block) {
  const { opens, inside } = blocks[block];
  const worded = opens.filter((word) => WORDED[block].includes(word) && !(word === "phase" && block !== "material"));
  const plain = opens.filter((word) => !worded.includes(word) && !(word === "use" && block === "material") && !(NESTED.includes(word) && !(word === "phase" && block === "plan")));
  // A reason for an `allow` follows the code, and a code is no name.
  const goesOn = inside.filter((word) => word !== "allow");
  // `active` is a role too; after a figure alone it is the mark of what a figure means.
  const partings = goesOn.filter((word) => !values.includes(word)).concat(goesOn.length > 0 ? [] : ["because"]);
  const hasUse = block === "material";
  const rules = {
    [`_${block}_item`]: ($) =>
      choice(
        oneOf($, goesOn.length > 0 ? goesOn : ["because"]),
        ...(inside.includes("allow") ? [seq(keyword($, "allow"), alias($.name, $.constant))] : []),
        $.name,
        $._value,
      ),
    [`_${block}_field`]: ($) =>
      choice(
        ...(plain.length > 0 ? [seq(oneOf($, plain), repeat($[`_${block}_item`]))] : []),
        ...(worded.length > 0
          ? [seq(oneOf($, worded), repeat(choice(oneOf($, partings), alias($.name, $.constant), $._value)))]
          : []),
        ...(hasUse
          ? [seq(keyword($, "use"), repeat(choice(oneOf($, goesOn), alias($.name, $.constant), $._value)))]
          : []),
      ),
  };
  return rules;
}

module.exports = grammar({
  name: "stillroom",

  word: ($) => $.name,
  extras: ($) => [/[ \t\r\uFEFF]/, $.comment],

  rules: {
    source_file: ($) =>
      seq(
        repeat($._newline),
        optional(seq($._declaration, repeat(seq(repeat1($._newline), $._declaration)), repeat($._newline))),
      ),

    _declaration: ($) =>
      choice(
        $.use,
        $.let,
        $.group,
        alias($.file_field, $.field),
        $.substance,
        $.material,
        $.formula,
        $.variant,
        $.rule,
        $.batch,
        $.maker,
        $.container,
        $.stock,
      ),

    use: ($) => seq(keyword($, "use"), field("path", choice($.string, $.shelf_path))),
    let: ($) => seq(keyword($, "let"), field("name", $.name), "=", repeat1(choice($.name, $._value))),
    group: ($) =>
      seq(
        keyword($, "group"),
        field("name", $.name),
        "=",
        repeat($._newline),
        $.name,
        repeat(seq($._comma, $.name)),
      ),
    file_field: ($) => seq(oneOf($, ["rate", "planned"]), repeat1($._file_item)),

    substance: ($) => named($, "substance", $.substance_block),
    material: ($) =>
      named($, "material", $.material_block, optional(seq(keyword($, "like"), field("base", $.name)))),
    formula: ($) => named($, "formula", $.formula_block),
    variant: ($) => named($, "variant", $.variant_block, keyword($, "of"), field("base", $.name)),
    rule: ($) => named($, "rule", $.rule_block),
    batch: ($) => named($, "batch", $.batch_block),
    container: ($) => named($, "container", $.container_block),
    maker: ($) => seq(keyword($, "maker"), field("body", alias($.maker_block, $.block))),
    stock: ($) => seq(keyword($, "stock"), field("body", alias($.stock_block, $.block))),

    substance_block: ($) => braced($, alias($._substance_field, $.field)),
    material_block: ($) => braced($, alias($._material_field, $.field)),
    formula_block: ($) => braced($, alias($._formula_field, $.field), $.let, $.phase, $.steps),
    variant_block: ($) =>
      braced($, alias($._variant_field, $.field), $.let, alias($.variant_phase, $.phase), $.steps),
    rule_block: ($) => braced($, alias($._rule_field, $.field)),
    batch_block: ($) => braced($, alias($._batch_field, $.field), $.plan),
    container_block: ($) => braced($, alias($._container_field, $.field)),
    maker_block: ($) => braced($, alias($._maker_field, $.field)),
    stock_block: ($) => braced($, alias($._stock_field, $.field)),
    phase_block: ($) => braced($, alias($._phase_field, $.field), $.line),
    variant_phase_block: ($) => braced($, alias($._variant_phase_field, $.field), $.add),
    plan_block: ($) => braced($, alias($._plan_field, $.field), alias($.plan_line, $.line)),
    steps_block: ($) => braced($, $.step),

    phase: ($) =>
      seq(keyword($, "phase"), field("name", $.name), optional($.string), field("body", alias($.phase_block, $.block))),
    variant_phase: ($) =>
      seq(
        keyword($, "phase"),
        field("name", $.name),
        optional($.string),
        field("body", alias($.variant_phase_block, $.block)),
      ),
    steps: ($) => seq(keyword($, "steps"), field("body", alias($.steps_block, $.block))),
    plan: ($) => seq(keyword($, "plan"), field("body", alias($.plan_block, $.block)), repeat($._batch_item)),

    line: ($) => seq(field("material", $.name), repeat1($._phase_item)),
    add: ($) => seq(keyword($, "add"), $.line),
    plan_line: ($) => seq(field("material", $.name), repeat1($._plan_item)),

    step: ($) =>
      seq(
        '"',
        repeat(
          choice($.placeholder, $.escape, token.immediate(prec(1, /[^"\\\n{]+/)), token.immediate(prec(1, "{{")), token.immediate("{")),
        ),
        token.immediate('"'),
      ),
    placeholder: () => token.immediate(prec(2, /\{[^{}"\n]*\}/)),
    escape: () => token.immediate(prec(1, /\\./)),

    ...Object.keys(blocks).reduce((rules, block) => Object.assign(rules, statementsOf(block)), {}),

    _value: ($) =>
      choice(
        $.quantity,
        $.string,
        $.date,
        $.time,
        $.parenthesis,
        $._comma,
        $.operator,
        ":",
        "=",
        seq(keyword($, "per"), $.unit),
      ),
    // A list goes on after its comma, on the next line too.
    _comma: ($) => prec.right(seq(",", repeat($._newline))),
    parenthesis: ($) => seq("(", repeat(choice($._newline, $.quantity, $.name, $.parenthesis, $.operator)), ")"),
    operator: () => choice("+", "-", "*", "/"),

    quantity: ($) => seq($.number, optional($.unit)),
    number: () => /[+-]?[0-9][0-9_]*([.,][0-9][0-9_]*)?/,
    unit: () => choice(token(/%([ \t]*(w\/v|v\/v|w\/w))?/), ...units.filter((unit) => !unit.startsWith("%")), token(prec(-1, /[A-Z]{3}/))),
    date: () => /[0-9]{4}-[0-9]{2}-[0-9]{2}/,
    time: () => /[0-9]{2}:[0-9]{2}/,
    string: () => /"([^"\\\n]|\\.)*"/,
    shelf_path: () => /shelf\/[a-z0-9-]+/,
    name: () => /[A-Za-z\u{80}-\u{10FFFF}][A-Za-z0-9_\u{80}-\u{10FFFF}]*(-[A-Za-z0-9_\u{80}-\u{10FFFF}]+)*/u,
    comment: () => token(prec(-1, /#[^\n]*/)),
    _newline: () => /\n/,
  },
});
