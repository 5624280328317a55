#include "models/verify/verification_table.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

namespace wetrun {
namespace {

std::string celsius(const PublishedValue& row) {
  return std::isnan(row.kelvin) ? "" : fmt::format("{:.4g}", row.kelvin - 273.15);
}

/// The comparison's error and tolerance in the terms the tolerance has: a share in percent, or a difference.
struct Agreement {
  std::string error, tolerance;
};
Agreement agreement(const Comparison& each) {
  const PublishedValue& row = *each.published;
  if (row.tolerance_kind == "bound") return {fmt::format("{:+.2g}", each.error), "a limit"};
  const double error = std::abs(each.error) < 1e-6 * each.allowed ? 0 : each.error;  // round-off is no news
  if (row.tolerance_kind == "rel" && each.value != 0)
    return {fmt::format("{:+.2g} %", 100 * error / std::abs(each.value)), fmt::format("{:.2g} %", 100 * row.tolerance)};
  return {fmt::format("{:+.2g}", error), fmt::format("{:.2g}", each.allowed)};
}

/// Under which conditions; of a formula also which, and for what inputs.
std::string case_text(const Comparison& each) {
  const PublishedValue& row = *each.published;
  if (each.inputs.empty()) return row.conditions;
  return (row.conditions.empty() ? "" : row.conditions + "; ") + row.text + " with " + each.inputs;
}

std::string value_text(double value, const PublishedValue& row) {
  return row.unit == "1" ? fmt::format("{:.5g}", value) : fmt::format("{:.5g} {}", value, row.unit);
}

std::string source_text(const PublishedValue& row) {
  return row.location.empty() ? row.source : row.source + ", " + row.location;
}

/// Numbers sources in the order in which they are met.
class Sources {
public:
  std::size_t number(const PublishedValue& row) {
    const std::string text = source_text(row) + " (" + row.provenance + ")";
    const auto found = std::find(list_.begin(), list_.end(), text);
    if (found != list_.end()) return static_cast<std::size_t>(found - list_.begin()) + 1;
    list_.push_back(text);
    return list_.size();
  }
  const std::vector<std::string>& list() const { return list_; }

private:
  std::vector<std::string> list_;
};

/// A word may hold what Markdown takes for its own.
std::string in_cell(std::string text) {
  for (std::size_t at = 0; (at = text.find_first_of("|*_<`", at)) != std::string::npos; at += 2) text.insert(at, "\\");
  return text;
}

std::string count_text(const std::vector<const Comparison*>& compared, std::size_t left) {
  const auto count = [&](auto&& which) { return std::count_if(compared.begin(), compared.end(), which); };
  const auto seen = count([](const Comparison* each) { return each->published->seen(); });
  const auto outside = count([](const Comparison* each) { return !each->holds; });
  return fmt::format("{} {} compared ({} read in a copy, {} from memory), {} outside their tolerance; {} rows left out",
                     compared.size(), compared.size() == 1 ? "value" : "values", seen,
                     compared.size() - static_cast<std::size_t>(seen), outside, left);
}

std::string table_title(const std::string& name) {
  std::string title = name;
  std::replace(title.begin(), title.end(), '_', ' ');
  title.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(title.front())));
  return title.rfind("Ph ", 0) == 0 ? "pH " + title.substr(3) : title;
}

/// At most `width` characters of ASCII.
std::string shortened(const std::string& text, std::size_t width) {
  return text.size() <= width ? text : text.substr(0, width - 2) + "..";
}

struct Section {
  std::vector<const Comparison*> compared;
  std::map<std::string, std::vector<std::string>> left;  // reason -> ids
  std::size_t left_rows = 0;
};

std::string section_markdown(const std::string& name, const Section& section) {
  Sources sources;
  std::string out =
      fmt::format("### {}\n\n{}.\n\n", table_title(name), count_text(section.compared, section.left_rows));
  out += "| Quantity | Case | degC | Published | Computed | Error | Tolerance | Source | Equation in |\n";
  out += "|---|---|---|---|---|---|---|---|---|\n";
  for (const Comparison* each : section.compared) {
    const PublishedValue& row = *each->published;
    const Agreement agrees = agreement(*each);
    out += fmt::format("| {} | {} | {} | {} | {} | {}{} | {} | {} | {} |\n", in_cell(row.quantity),
                       in_cell(case_text(*each)), celsius(row), value_text(each->value, row),
                       value_text(each->computed, row), agrees.error, each->holds ? "" : " **outside**",
                       agrees.tolerance, sources.number(row), in_cell(each->model));
  }
  out += "\nSources:\n\n";
  for (std::size_t i = 0; i < sources.list().size(); ++i)
    out += fmt::format("{}. {}\n", i + 1, in_cell(sources.list()[i]));
  if (!section.left.empty()) out += "\nLeft out:\n\n";
  for (const auto& [reason, ids] : section.left)
    out += fmt::format("- {} ({}): {}\n", reason, ids.size(), in_cell(fmt::format("{}", fmt::join(ids, ", "))));
  return out + "\n";
}

}  // namespace

std::string verification_text(const Verification& all) {
  constexpr std::size_t quantity = 44, number = 20;
  Sources sources;
  std::vector<const Comparison*> compared;
  std::string out, table;
  for (const Comparison& each : all.comparisons()) {
    const PublishedValue& row = *each.published;
    compared.push_back(&each);
    if (row.table != table) {
      table = row.table;
      out += fmt::format("\n{:{}} {:>5} {:>{}} {:>{}} {:>9} {:>9} {:>6}\n", table_title(table), quantity, "degC",
                         "published", number, "computed", number, "error", "tolerance", "source");
    }
    const Agreement agrees = agreement(each);
    const std::string where = case_text(each), what = where.empty() ? row.quantity : row.quantity + ", " + where;
    out += fmt::format("{:{}} {:>5} {:>{}} {:>{}} {:>9} {:>9} {:>6}{}\n", shortened(what, quantity), quantity,
                       celsius(row), value_text(each.value, row), number, value_text(each.computed, row), number,
                       agrees.error, agrees.tolerance, fmt::format("[{}]", sources.number(row)),
                       each.holds ? "" : "  OUTSIDE");
  }
  out += "\nSources\n";
  for (std::size_t i = 0; i < sources.list().size(); ++i) out += fmt::format("  [{}] {}\n", i + 1, sources.list()[i]);
  return out + "\n" + count_text(compared, all.left_out().size()) + "\n";
}

std::string verification_details(const Verification& all, const Chooser& wanted) {
  std::string out;
  std::vector<const Comparison*> compared;
  for (const Comparison& each : all.comparisons()) {
    const PublishedValue& row = *each.published;
    if (!wanted(row)) continue;
    compared.push_back(&each);
    const Agreement agrees = agreement(each);
    const std::string where = case_text(each);
    out += fmt::format("{}: {}{}{}\n", row.id, row.quantity, where.empty() ? "" : "; " + where,
                       std::isnan(row.kelvin) ? "" : "; " + celsius(row) + " degC");
    out += fmt::format("  published {}, computed {}, error {}, tolerance {}: {}\n", value_text(each.value, row),
                       value_text(each.computed, row), agrees.error, agrees.tolerance,
                       each.holds ? "agrees" : "OUTSIDE its tolerance");
    if (!row.equation.empty()) out += fmt::format("  case: {}\n", row.equation);
    out += fmt::format("  equation in {}\n  source: {} ({})\n\n", each.model, source_text(row), row.provenance);
  }
  std::size_t left = 0;
  for (const LeftOut& each : all.left_out()) {
    if (!wanted(*each.published)) continue;
    ++left;
    out += fmt::format("{}: {}\n  published {}; left out: {}\n\n", each.published->id, each.published->quantity,
                       each.published->text, each.reason);
  }
  return out + count_text(compared, left) + "\n";
}

std::string verification_markdown(const Verification& all) {
  std::map<std::string, Section> sections;
  std::vector<const Comparison*> compared;
  for (const Comparison& each : all.comparisons()) {
    sections[each.published->table].compared.push_back(&each);
    compared.push_back(&each);
  }
  for (const LeftOut& each : all.left_out()) {
    Section& section = sections[each.published->table];
    section.left[each.reason].push_back(each.published->id);
    ++section.left_rows;
  }
  std::string out = count_text(compared, all.left_out().size()) + ".\n\n";
  for (const auto& [name, section] : sections) out += section_markdown(name, section);
  return out;
}

}  // namespace wetrun
