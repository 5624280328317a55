#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "models/verify/verification_table.h"
#include "trainer/command/output.h"
#include "trainer/command/verbs.h"
#include "trainer/exercise/json_text.h"

namespace wetrun {
namespace {

using nlohmann::ordered_json;

struct Options : Common {
  std::vector<std::string> words;
};

bool holds_word(const PublishedValue& row, const std::string& word) {
  const auto same = [](char a, char b) {
    return std::tolower(static_cast<unsigned char>(a)) == std::tolower(static_cast<unsigned char>(b));
  };
  const auto in = [&](const std::string& text) {
    return std::search(text.begin(), text.end(), word.begin(), word.end(), same) != text.end();
  };
  return in(row.table) || in(row.id) || in(row.quantity) || in(row.conditions) || in(row.source);
}

ordered_json row_json(const PublishedValue& row) {
  ordered_json json = {{"table", row.table}, {"id", row.id}, {"quantity", row.quantity}};
  if (!row.conditions.empty()) json["conditions"] = row.conditions;
  if (!row.equation.empty()) json["case"] = row.equation;
  if (!std::isnan(row.kelvin)) json["temperature_k"] = row.kelvin;
  json["unit"] = row.unit;
  json["source"] = row.source;
  if (!row.location.empty()) json["location"] = row.location;
  json["provenance"] = row.provenance;
  return json;
}

ordered_json report_json(const Verification& all, const Chooser& wanted) {
  ordered_json compared = ordered_json::array(), left = ordered_json::array();
  for (const Comparison& each : all.comparisons()) {
    if (!wanted(*each.published)) continue;
    ordered_json json = row_json(*each.published);
    if (!each.inputs.empty()) json["formula"] = each.published->text, json["inputs"] = each.inputs;
    json["published"] = each.value;
    json["computed"] = each.computed;
    json["error"] = each.error;
    json["tolerance"] = each.allowed;
    json["limit"] = each.published->tolerance_kind == "bound";
    json["equation_in"] = each.model;
    json["agrees"] = each.holds;
    compared.push_back(json);
  }
  for (const LeftOut& each : all.left_out()) {
    if (!wanted(*each.published)) continue;
    ordered_json json = row_json(*each.published);
    json["published"] = each.published->text;
    json["reason"] = each.reason;
    left.push_back(json);
  }
  return {{"compared", compared}, {"left_out", left}, {"outside", all.failures()}};
}

int verify(const Options& options) {
  OutFolder out(options.out);
  const Verification all = verify_all();
  const Chooser wanted = [&](const PublishedValue& row) {
    return options.words.empty() || std::all_of(options.words.begin(), options.words.end(),
                                                [&](const std::string& word) { return holds_word(row, word); });
  };
  const std::vector<PublishedValue>& values = published_values();
  if (std::none_of(values.begin(), values.end(), wanted))
    throw InputError("no published value has to do with '" + options.words.front() + "'" +
                         (options.words.size() > 1 ? " and the other words" : ""),
                     "a word of its table, name, quantity, case or source; all are shown by wetrun verify");
  const std::string json = json_text(report_json(all, wanted));
  out.finish({{"verify.json", json}, {"verify.md", verification_markdown(all)}}, nullptr);
  print_result(options.json, options.words.empty() ? verification_text(all) : verification_details(all, wanted), json);
  return all.failures() == 0 ? exit_done : exit_failed;
}

}  // namespace

void add_verify(CLI::App& app, Chosen& chosen) {
  CLI::App* verb = app.add_subcommand("verify", "published values beside what the models compute");
  const auto options = std::make_shared<Options>();
  verb->add_option("words", options->words, "only rows with all these words, and all there is to know of them")
      ->option_text("WORD...")
      ->check(not_empty);
  add_common(*verb, *options, false);
  verb->callback([&chosen, options] { chosen = [options] { return verify(*options); }; });
}

}  // namespace wetrun
