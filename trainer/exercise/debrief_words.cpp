#include "trainer/exercise/debrief_words.h"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>
#include <optional>

#include "engine/core/units.h"

namespace wetrun {
namespace {

bool name_char(char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_'; }

/// The SI unit of the readings whose unit the user chooses; "" for all others.
std::string_view chosen_si(std::string_view unit) {
  for (const std::string_view known : {"bar", "mbar", "psi", "kPa", "Pa"})
    if (unit == known) return "Pa";
  for (const std::string_view known : {"m3/h", "m3/s", "gpm", "L/min"})
    if (unit == known) return "m3/s";
  for (const std::string_view known : {"degC", "degF"})
    if (unit == known) return "K";
  return "";
}

std::string number_words(double value, int digits = 3) {
  if (!std::isfinite(value)) return "no reading";
  if (value == 0) return "0";
  const double size = std::abs(value);
  if (size >= std::pow(10.0, digits) && size < 1e7) return fmt::format("{:.0f}", value);
  return fmt::format("{:.{}g}", value, digits);
}

void replace_all(std::string& text, std::string_view from, std::string_view to) {
  for (std::size_t at = text.find(from); at != std::string::npos; at = text.find(from, at + to.size()))
    text.replace(at, from.size(), to);
}

/// "array_1.feed_pressure" at `at`: its length; 0 if there is no such name. A number ("3.5") is none.
std::size_t name_length(std::string_view text, std::size_t at) {
  if (!(text[at] >= 'a' && text[at] <= 'z') || (at > 0 && (name_char(text[at - 1]) || text[at - 1] == '.'))) return 0;
  std::size_t end = at, dots = 0;
  while (end < text.size() && (name_char(text[end]) || (text[end] == '.' && end + 1 < text.size() && dots == 0 &&
                                                        text[end + 1] >= 'a' && text[end + 1] <= 'z')))
    dots += text[end++] == '.' ? 1U : 0U;
  return dots == 1 ? end - at : 0;
}

struct Quantity {
  std::size_t length = 0;  // 0: there is none
  std::string words;
};

/// "3.5 bar" at `at`, in the user's unit.
Quantity quantity_at(const ReadingUnits& units, std::string_view text, std::size_t at) {
  const bool begins = std::isdigit(static_cast<unsigned char>(text[at])) || text[at] == '-';
  if (!begins || (at > 0 && (name_char(text[at - 1]) || text[at - 1] == '.'))) return {};
  const std::string piece(text.substr(at, 40));
  double value = 0;  // not std::strtod(): a library may have set the locale
  const auto rest = std::from_chars(piece.data(), piece.data() + piece.size(), value);
  const auto digits_end = static_cast<std::size_t>(rest.ptr - piece.data());
  if (rest.ec != std::errc() || digits_end >= piece.size() || piece[digits_end] != ' ') return {};
  std::size_t end = digits_end + 1;
  while (end < piece.size() && (std::isalnum(static_cast<unsigned char>(piece[end])) || piece[end] == '/')) ++end;
  const std::string unit = piece.substr(digits_end + 1, end - digits_end - 1);
  const std::string_view si = chosen_si(unit);
  if (si.empty()) return {};
  const std::string wanted = unit_for(units, std::string(si));
  if (wanted == unit) return {end, piece.substr(0, digits_end) + " " + printed_unit(unit)};
  const auto digits = std::count_if(piece.begin(), piece.begin() + static_cast<std::ptrdiff_t>(digits_end),
                                    [](unsigned char c) { return std::isdigit(c); });
  const double shown = from_si(to_si(value, unit, si), wanted, si);
  return {end, number_words(shown, std::max(3, static_cast<int>(digits))) + " " + printed_unit(wanted)};
}

/// A reading in a unit that suits `size`, the largest value it is shown beside.
std::string sized_words(const ReadingUnits& units, double value_si, const std::string& si_unit, bool share,
                        double size) {
  if (!std::isfinite(value_si)) return "no reading";
  if (si_unit == "1") return share ? number_words(100 * value_si) + " %" : number_words(value_si);
  if (si_unit == "pH") return "pH " + number_words(value_si);
  std::string unit = unit_for(units, si_unit);
  if (si_unit == "s" && size >= 120) unit = size < 7200 ? "min" : "h";
  if (si_unit == "m3" && size > 0 && size < 0.05) unit = "L";
  if (si_unit == "m2" && size > 0 && size < 1e-3) unit = "mm2";
  if (!unit_fits(unit, si_unit)) return number_words(value_si) + " " + si_unit;  // not one that this program knows
  return number_words(from_si(value_si, unit, si_unit)) + " " + printed_unit(unit);
}

bool is_share(const SignalInfo& row) { return row.unit == "1" && row.min >= 0 && row.max > 0 && row.max <= 1.2; }

}  // namespace

std::string plain_words(std::string_view name) {
  std::string words = " " + std::string(name) + " ";
  std::replace_if(
      words.begin(), words.end(), [](char c) { return c == '.' || c == '_'; }, ' ');
  replace_all(words, " ph ", " pH ");
  return words.substr(1, words.size() - 2);
}

std::string rule_title(const RuleResult& rule) {
  std::string words = plain_words(rule.name);
  if (!words.empty() && words[0] >= 'a' && words[0] <= 'z' && !words.starts_with("pH"))
    words[0] = static_cast<char>(words[0] - 'a' + 'A');
  return words;
}

std::string unit_for(const ReadingUnits& units, const std::string& si_unit) {
  if (si_unit == "Pa") return units.pressure;
  if (si_unit == "m3/s") return units.flow;
  if (si_unit == "K") return units.temperature;
  return std::string(customary_unit(si_unit));
}

std::string printed_unit(std::string_view unit) {
  if (unit == "1") return "";
  if (unit == "degC" || unit == "degF") return "\u00b0" + std::string(1, unit.back());
  std::string printed(unit);
  replace_all(printed, "m3", "m\u00b3");
  replace_all(printed, "m2", "m\u00b2");
  replace_all(printed, "uS", "\u00b5S");
  return printed;
}

std::string reading_words(const ReadingUnits& units, double value_si, const std::string& si_unit, bool share) {
  return sized_words(units, value_si, si_unit, share, std::abs(value_si));
}

bool yes_or_no(const HiddenResult& hidden, const SignalTable& signals) {
  const SignalInfo& row = signals[hidden.signal];
  const auto whole = [](double v) { return v == 0 || v == 1; };
  return row.unit == "1" && row.min == 0 && row.max == 1 && whole(hidden.start) && whole(hidden.end) &&
         whole(hidden.min) && whole(hidden.max) && hidden.max > hidden.min;
}

std::string hidden_words(const ReadingUnits& units, const HiddenResult& hidden, const SignalTable& signals,
                         double value_si) {
  if (yes_or_no(hidden, signals)) return value_si != 0 ? "yes" : "no";
  const double size = std::max(std::abs(hidden.min), std::abs(hidden.max));
  return sized_words(units, value_si, hidden.unit, is_share(signals[hidden.signal]), size);
}

std::string fault_words(const ReadingUnits& units, const FaultResult& fault, const SignalTable& signals) {
  const SignalId id = signals.find(fault.signal);
  const bool share = id.valid() && is_share(signals[id]);
  if (share && (fault.to == 0 || fault.to == 1)) return fault.to != 0 ? "yes" : "no";
  return reading_words(units, fault.to, fault.unit, share);
}

std::string plain_text(const ReadingUnits& units, std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    if (const std::size_t length = name_length(text, at)) {
      out += plain_words(text.substr(at, length));
      at += length;
    } else if (const Quantity quantity = quantity_at(units, text, at); quantity.length > 0) {
      out += quantity.words;
      at += quantity.length;
    } else {
      out += text[at++];
    }
  }
  return out;
}

std::string evidence_words(const ReadingUnits& units, const Evidence& evidence) {
  std::string text = evidence.text;
  for (const char* asked : {"not 0", "0"}) {  // a reading that is or is not, which needs no limit said
    for (const char* value : {"1", "0"}) {
      const std::string ending = fmt::format(" = {}, limit {}", value, asked);
      if (text.ends_with(ending))
        text.replace(text.size() - ending.size(), ending.size(), *value == '1' ? ": yes" : ": no");
    }
  }
  text = with_printed_units(plain_text(units, text));
  const std::size_t limit = text.rfind(", limit ");
  if (limit == std::string::npos) return text;
  std::string asked = text.substr(limit + 8);
  for (const auto& [sign, word] :
       {std::pair{">= ", "at least "}, {"<= ", "at most "}, {"= ", ""}, {"> ", "above "}, {"< ", "below "}})
    replace_all(asked, sign, word);
  return fmt::format("{} (limit: {})", text.substr(0, limit), asked);
}

std::vector<std::size_t> rules_to_mend(const DebriefData& data) {
  std::vector<std::size_t> list;
  for (std::size_t i = 0; i < data.rules.size(); ++i)
    if (!data.rules[i].met) list.push_back(i);
  const auto lost = [&](std::size_t i) { return data.rules[i].out_of - data.rules[i].points; };
  std::stable_sort(list.begin(), list.end(), [&](std::size_t a, std::size_t b) {
    if (data.rules[a].critical != data.rules[b].critical) return data.rules[a].critical;
    return lost(a) > lost(b);
  });
  return list;
}

std::vector<std::size_t> rules_broken_before(const DebriefData& data) {
  double first_s = -1;
  for (const RuleResult& rule : data.rules)
    if (rule.critical && !rule.met && !rule.evidence.empty())
      first_s = first_s < 0 ? rule.evidence.front().time_s : std::min(first_s, rule.evidence.front().time_s);
  std::vector<std::size_t> list;
  for (std::size_t i = 0; i < data.rules.size(); ++i) {
    const RuleResult& rule = data.rules[i];
    if (!rule.critical && !rule.met && !rule.evidence.empty() && rule.evidence.front().time_s < first_s)
      list.push_back(i);
  }
  std::stable_sort(list.begin(), list.end(), [&](std::size_t a, std::size_t b) {
    return data.rules[a].evidence.front().time_s < data.rules[b].evidence.front().time_s;
  });
  return list;
}

std::vector<Evidence> moments_of(const RuleResult& rule, double duration_s) {
  std::vector<Evidence> list = rule.evidence;
  std::erase_if(list, [&](const Evidence& evidence) { return evidence.time_s >= duration_s; });
  return list.empty() ? rule.evidence : list;
}

std::string first_moment(const ReadingUnits& units, const RuleResult& rule) {
  std::string words;
  for (const Evidence& evidence : rule.evidence)
    if (evidence.time_s == rule.evidence.front().time_s)
      words += (words.empty() ? "" : "; ") + evidence_words(units, evidence);
  return words;
}

std::string with_printed_units(std::string_view text) {
  std::string out(text);
  replace_all(out, " degC", " \u00b0C");
  replace_all(out, " degF", " \u00b0F");
  replace_all(out, " m3", " m\u00b3");
  replace_all(out, " m2", " m\u00b2");
  return out;
}

std::string points_words(double points) {
  if (!std::isfinite(points)) return "no number";
  const double tenths = std::round(10 * points);
  return std::fmod(tenths, 10) == 0 ? fmt::format("{:.0f}", points) : fmt::format("{:.1f}", points);
}

std::string verdict_words(const DebriefData& data) {
  if (!data.scored) return "Not scored";
  if (!data.finished) return "Still under way";
  return data.passed ? "Passed" : "Not passed";
}

std::string verdict_cause(const DebriefData& data) {
  if (!data.scored)
    return "Nothing is judged here. Look back at what was going on, and try again as often as you like.";
  if (!data.finished) return "Rules that are not decided yet count as not met.";
  const std::vector<std::size_t> broken = rules_to_mend(data);
  const auto critical =
      std::count_if(broken.begin(), broken.end(), [&](std::size_t i) { return data.rules[i].critical; });
  if (data.passed) return broken.empty() ? "Every rule was met." : "Every critical rule was met, with points enough.";
  if (critical == 0) return "There were too few points.";
  const std::string who = critical == 1
                              ? "A critical rule was not met, and that fails"
                              : fmt::format("{} critical rules were not met, and each of them fails", critical);
  return who + " the exercise whatever the score." +
         (data.score < data.pass_score - 1e-9 ? " Nor were there points enough." : "");
}

std::string verdict_reason(const DebriefData& data) {
  if (!data.scored || !data.finished) return verdict_cause(data);
  return fmt::format("{} {} of 100 points, {} needed.", verdict_cause(data), points_words(data.score), data.pass_score);
}

std::vector<std::string> score_account(const DebriefData& data) {
  std::vector<std::string> lines;
  if (!data.scored) return lines;
  double had = 0, possible = 0, hints = 0;
  for (const RuleResult& rule : data.rules) {
    had += rule.points;
    possible += rule.out_of;
  }
  for (const HintResult& hint : data.hints) hints += hint.cost;
  lines.push_back(fmt::format("{} of {} points for the rules", points_words(had), points_words(possible)));
  if (possible > 0 && possible != 100)
    lines.push_back(fmt::format("that is {} of 100", points_words(100 * had / possible)));
  if (!data.hints.empty())
    lines.push_back(fmt::format("{} {} less for {} hint{}", points_words(hints), hints == 1 ? "point" : "points",
                                data.hints.size(), data.hints.size() == 1 ? "" : "s"));
  lines.push_back(fmt::format("score {}, {} needed", points_words(data.score), data.pass_score));
  return lines;
}

}  // namespace wetrun
