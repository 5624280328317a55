#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "engine/core/units.h"
#include "models/solution/chemicals.h"
#include "trainer/command/output.h"
#include "trainer/command/verbs.h"
#include "trainer/exercise/exercise.h"
#include "trainer/exercise/json_text.h"

namespace wetrun {
namespace {

using nlohmann::ordered_json;

struct Options : Common {
  std::string kind;
  std::string skid = "ostrey";
};

struct Listing {
  ordered_json rows = ordered_json::array();
  std::string text;
  std::vector<std::string> broken;  // files that cannot be listed: one line each
};

void add_exercise(const Library& library, const Library::Entry& entry, Listing& listing) {
  const ExerciseHeading heading = read_heading(library, entry.file);
  ordered_json operators = ordered_json::array();
  listing.text += fmt::format("{:28} {}\n", entry.name, heading.title);
  for (const OperatorEntry& each : heading.operators) {
    const char* expect = each.expect_pass ? "pass" : "fail";
    ordered_json row = {{"name", each.sequence}, {"file", each.file}, {"expect", expect}, {"because", each.because}};
    if (!each.fails.empty()) row["fails"] = each.fails;
    operators.push_back(row);
    listing.text += fmt::format("    --operator {:28} {}: {}\n", each.sequence, expect, each.because);
  }
  listing.rows.push_back({{"name", entry.name},
                          {"title", heading.title},
                          {"file", entry.file},
                          {"skid", heading.skid},
                          {"operators", operators}});
}

void add_file(const std::string& kind, const Library::Entry& entry, Listing& listing) {
  const Document document = Document::load(entry.file);
  document.require_kind(kind, 1);
  ordered_json row = {{"name", entry.name}, {"title", document.root().text("title")}, {"file", entry.file}};
  if (kind == "sequence") row["skid"] = document.root().text("skid");
  listing.text += fmt::format("{:28} {}\n", entry.name, document.root().text("title"));
  listing.rows.push_back(row);
}

/// All files of a kind. One that is broken does not hide the others.
Listing list_files(const Library& library, const std::string& kind) {
  Listing listing;
  for (const Library::Entry& entry : library.list(kind)) {
    try {
      if (kind == "exercise")
        add_exercise(library, entry, listing);
      else
        add_file(kind, entry, listing);
    } catch (const InputError& error) {
      listing.broken.push_back(error.what());
    }
  }
  return listing;
}

std::string_view motion_text(Motion motion) {
  static constexpr std::string_view words[] = {"at_once", "ramp", "pour", "momentary"};
  return words[static_cast<std::size_t>(motion)];
}

Listing list_signals(const Library& library, const Options& options) {
  Listing listing;
  const LoadedSkid skid = load_skid(library, options.skid, "", options.overrides());
  for (const SignalInfo& row : skid.skid.plant->signals().rows()) {
    if (options.kind == "controls" && row.kind != SignalKind::control) continue;
    if (options.kind == "faults" && row.kind != SignalKind::fault) continue;
    ordered_json entry = {{"name", row.name}, {"unit", row.unit}, {"visibility", std::string(to_text(row.visibility))},
                          {"min", row.min},   {"max", row.max},   {"doc", row.doc}};
    entry["kind"] = std::string(to_text(row.kind));
    if (row.kind != SignalKind::reading) entry["start"] = row.start;
    if (row.kind == SignalKind::control) {
      entry["motion"] = std::string(motion_text(row.motion));
      entry["effort_s"] = row.effort_s;
      entry["effort_per_unit_s"] = row.effort_per_unit_s;
    }
    listing.rows.push_back(entry);
    listing.text += fmt::format("{:40} {:8} {:8} {} to {}: {}\n", row.name, to_text(row.kind), to_text(row.visibility),
                                format_quantity(row.min, row.unit), format_quantity(row.max, row.unit), row.doc);
  }
  return listing;
}

Listing list_chemicals() {
  Listing listing;
  for (const Chemical& c : chemicals()) {
    listing.rows.push_back({{"name", std::string(c.name)},
                            {"title", std::string(c.title)},
                            {"form", std::string(c.form)},
                            {"hazards", std::string(c.hazards)},
                            {"safety", std::string(c.safety)}});
    listing.text += fmt::format("{:28} {} ({}; {})\n", c.name, c.title, c.form, c.hazards);
  }
  return listing;
}

Listing list_waters() {
  Listing listing;
  for (const Water& w : waters()) {
    listing.rows.push_back({{"name", std::string(w.name)}, {"title", std::string(w.title)}});
    listing.text += fmt::format("{:28} {}\n", w.name, w.title);
  }
  return listing;
}

Listing list_units() {
  Listing listing;
  for (const UnitRegistry::Row& row : unit_registry().rows()) {
    listing.rows.push_back({{"name", row.type}, {"doc", row.doc}});
    listing.text += fmt::format("{:28} {}\n", row.type, row.doc);
  }
  return listing;
}

Listing make_listing(const Options& options) {
  if (options.kind == "chemicals") return list_chemicals();
  if (options.kind == "waters") return list_waters();
  if (options.kind == "units") return list_units();
  const Library library = Library::standard();
  if (options.kind == "exercises") return list_files(library, "exercise");
  if (options.kind == "skids") return list_files(library, "skid");
  if (options.kind == "sequences") return list_files(library, "sequence");
  return list_signals(library, options);
}

int list(const Options& options) {
  OutFolder out(options.out);
  const Listing listing = make_listing(options);
  const std::string json = json_text({{options.kind, listing.rows}});
  out.finish({{options.kind + ".json", json}}, nullptr);
  print_result(options.json, listing.text, json);
  for (const std::string& line : listing.broken) std::fputs(("wetrun: " + line + "\n").c_str(), stderr);
  return listing.broken.empty() ? exit_done : exit_bad_input;
}

}  // namespace

void add_list(CLI::App& app, Chosen& chosen) {
  const std::vector<std::string> kinds = {"exercises", "skids",     "sequences", "signals", "controls",
                                          "faults",    "chemicals", "waters",    "units"};
  CLI::App* verb = app.add_subcommand("list", "what there is: exercises, skids, signals, chemicals, ...");
  const auto options = std::make_shared<Options>();
  verb->add_option("kind", options->kind,
                   "exercises, skids, sequences, signals, controls, faults, chemicals, waters, units")
      ->required()
      ->option_text("KIND")
      ->check(CLI::IsMember(kinds));
  verb->add_option("--skid", options->skid, "skid whose signals are listed (default ostrey)")->option_text("SKID");
  add_common(*verb, *options, true);
  verb->callback([&chosen, options] { chosen = [options] { return list(*options); }; });
}

}  // namespace wetrun
