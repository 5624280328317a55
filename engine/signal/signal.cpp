#include "engine/signal/signal.h"

#include <fmt/format.h>

#include <algorithm>

#include "engine/core/error.h"
#include "engine/core/nearest.h"
#include "engine/core/text.h"
#include "engine/core/units.h"

namespace wetrun {
namespace {

/// Names are what the condition language can read: letters, digits, '_', parts joined by dots, a letter first.
bool is_name(std::string_view name) {
  const auto letter = [](char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); };
  const auto inside = [&](char c) { return letter(c) || (c >= '0' && c <= '9') || c == '_' || c == '.'; };
  const bool dots = name.find("..") == std::string_view::npos && !name.ends_with('.');
  return !name.empty() && letter(name[0]) && dots && std::all_of(name.begin(), name.end(), inside);
}

constexpr std::string_view reserved[] = {"and", "or", "not", "between", "for", "time", "phase_time"};

}  // namespace

SignalId SignalTable::add(SignalInfo info) {
  if (!is_name(info.name))
    throw InputError(fmt::format("'{}' cannot be the name of a signal", shown(info.name)),
                     "use letters, digits and '_', a letter first, parts joined by dots");
  if (std::find(std::begin(reserved), std::end(reserved), info.name) != std::end(reserved))
    throw InputError(fmt::format("'{}' is a word of the condition language", info.name), "use another name");
  if (by_name_.contains(info.name))
    throw InputError(fmt::format("the name '{}' is used twice", info.name), "give each its own name");
  if (!units_.contains(info.unit)) {
    if (!unit_fits(info.unit, info.unit))
      stop_for_bug(__FILE__, __LINE__,
                   fmt::format("the unit '{}' of signal '{}' is known", info.unit, info.name).c_str());
    units_.insert(info.unit);
  }
  const SignalId id{static_cast<std::uint32_t>(rows_.size())};
  by_name_.emplace(info.name, id);
  rows_.push_back(std::move(info));
  return id;
}

SignalId SignalTable::find(std::string_view name) const {
  const auto found = by_name_.find(name);
  return found == by_name_.end() ? SignalId{} : found->second;
}

SignalId SignalTable::require(std::string_view name) const {
  const SignalId id = find(name);
  if (id.valid()) return id;
  const std::string guess = did_you_mean(near(name));
  throw InputError(fmt::format("unknown signal '{}'", shown(name)),
                   guess.empty() ? "'wetrun list signals' names them all" : guess);
}

std::vector<std::string> SignalTable::near(std::string_view name) const {
  std::vector<std::string> names;
  for (const SignalInfo& row : rows_) names.push_back(row.name);
  return nearest(name, names, 3);
}

std::string_view to_text(Visibility visibility) {
  switch (visibility) {
    case Visibility::skid:
      return "skid";
    case Visibility::desk:
      return "desk";
    case Visibility::truth:
      return "truth";
  }
  return "";
}

std::string_view to_text(SignalKind kind) {
  switch (kind) {
    case SignalKind::reading:
      return "reading";
    case SignalKind::control:
      return "control";
    case SignalKind::fault:
      return "fault";
  }
  return "";
}

}  // namespace wetrun
