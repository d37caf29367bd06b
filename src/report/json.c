/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json.h"

#include "report/utf8.h"

enum { INDENT_SPACES = 2, FINDING_DECIMALS = 3 };

void bp_json_init(struct bp_json *json, bool indent, struct bp_text *out)
{
    *json = (struct bp_json){out, indent, 0, true};
}

static void put_line_break(const struct bp_json *json)
{
    if (json->indent && json->depth > 0) {
        bp_text_put_char(json->out, '\n');
        bp_text_fill(json->out, ' ', INDENT_SPACES * json->depth);
    }
}

static void put_escaped(struct bp_text *out, unsigned char c)
{
    static const char hex[] = "0123456789abcdef";
    static const char *const shorts[0x20] = {
        ['\b'] = "\\b", ['\f'] = "\\f", ['\n'] = "\\n", ['\r'] = "\\r", ['\t'] = "\\t"};
    if (c == '"' || c == '\\') {
        bp_text_put_char(out, '\\');
        bp_text_put_char(out, (char)c);
    } else if (shorts[c] != NULL) {
        bp_text_put(out, shorts[c]);
    } else {
        bp_text_put(out, "\\u00");
        bp_text_put_char(out, hex[c >> 4]);
        bp_text_put_char(out, hex[c & 15]);
    }
}

static void put_string(struct bp_text *out, const char *value)
{
    bp_text_put_char(out, '"');
    while (*value != '\0') {
        bool valid;
        size_t bytes = bp_utf8_step(value, &valid);
        unsigned char c = (unsigned char)*value;
        if (!valid) {
            bp_text_put(out, BP_REPLACEMENT);
        } else if (c < 0x20 || c == '"' || c == '\\') {
            put_escaped(out, c);
        } else {
            bp_text_put_bytes(out, value, bytes);
        }
        value += bytes;
    }
    bp_text_put_char(out, '"');
}

static void put_key(struct bp_json *json, const char *key)
{
    if (!json->empty) {
        bp_text_put_char(json->out, ',');
    }
    put_line_break(json);
    json->empty = false;
    if (key != NULL) {
        put_string(json->out, key);
        bp_text_put(json->out, json->indent ? ": " : ":");
    }
}

void bp_json_open(struct bp_json *json, const char *key, char bracket)
{
    put_key(json, key);
    bp_text_put_char(json->out, bracket);
    json->depth++;
    json->empty = true;
}

void bp_json_close(struct bp_json *json, char bracket)
{
    json->depth--;
    if (!json->empty && json->indent) {
        bp_text_put_char(json->out, '\n');
        bp_text_fill(json->out, ' ', INDENT_SPACES * json->depth);
    }
    bp_text_put_char(json->out, bracket);
    json->empty = false;
    if (json->depth == 0) {
        bp_text_put_char(json->out, '\n');
    }
}

void bp_json_null(struct bp_json *json, const char *key)
{
    put_key(json, key);
    bp_text_put(json->out, "null");
}

void bp_json_bool(struct bp_json *json, const char *key, bool value)
{
    put_key(json, key);
    bp_text_put(json->out, value ? "true" : "false");
}

void bp_json_count(struct bp_json *json, const char *key, size_t value)
{
    put_key(json, key);
    bp_text_put_count(json->out, value);
}

static void put_number(struct bp_text *out, double value, int decimals)
{
    if (isfinite(value)) {
        bp_text_put_number(out, value, decimals);
    } else {
        bp_text_put(out, "null");
    }
}

void bp_json_number(struct bp_json *json, const char *key, double value, int decimals)
{
    put_key(json, key);
    put_number(json->out, value, decimals);
}

void bp_json_string(struct bp_json *json, const char *key, const char *value)
{
    put_key(json, key);
    put_string(json->out, value);
}

void bp_json_quantity(struct bp_json *json, const char *key, struct bp_quantity value, int decimals)
{
    if (!bp_quantity_known(value)) {
        bp_json_null(json, key);
        return;
    }
    /* On one line even when indented: three numbers that belong together. */
    put_key(json, key);
    bp_text_put(json->out, json->indent ? "{\"value\": " : "{\"value\":");
    put_number(json->out, value.value, decimals);
    bp_text_put(json->out, json->indent ? ", \"low\": " : ",\"low\":");
    put_number(json->out, value.low, decimals);
    bp_text_put(json->out, json->indent ? ", \"high\": " : ",\"high\":");
    put_number(json->out, value.high, decimals);
    bp_text_put_char(json->out, '}');
}

void bp_json_findings(struct bp_json *json, const struct bp_findings *findings)
{
    bp_json_open(json, "findings", '[');
    for (size_t i = 0; i < findings->count; i++) {
        const struct bp_finding *finding = &findings->list[i];
        bp_json_open(json, NULL, '{');
        bp_json_string(json, "code", finding->code);
        bp_json_string(json, "severity", bp_severity_name(finding->severity));
        bp_json_number(json, "at_s", finding->at_s, FINDING_DECIMALS);
        bp_json_string(json, "text", finding->text);
        bp_json_close(json, '}');
    }
    bp_json_close(json, ']');
    bp_json_count(json, "findings_dropped", findings->dropped);
}
