#include "trainer/window/view/handle.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

namespace wetrun {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double dial_low_rad = 1.25 * pi, dial_sweep_rad = 1.5 * pi;

double span_of(const SignalInfo& control) { return control.max - control.min; }
double share_of(const SignalInfo& control, double value) {
  return span_of(control) > 0 ? std::clamp((value - control.min) / span_of(control), 0.0, 1.0) : 0;
}
bool whole(double value) { return value == std::floor(value); }

}  // namespace

HandleKind handle_of(const SignalInfo& control) {
  switch (control.motion) {
    case Motion::ramp:
      return control.effort_s <= slowest_lever_s ? HandleKind::lever : HandleKind::wheel;
    case Motion::momentary:
      return HandleKind::press;
    case Motion::pour:
      return HandleKind::pour;
    case Motion::at_once:
      break;
  }
  const bool bare = control.unit == "1" && whole(control.min) && whole(control.max);
  if (bare && control.min == 0 && control.max == 1) return HandleKind::toggle;
  if (bare && span_of(control) >= 2 && span_of(control) <= 12) return HandleKind::selector;
  return HandleKind::dial;
}

double angle_around(Point centre, Point p) {
  const double dx = p.x - centre.x, dy = centre.y - p.y;
  return dx == 0 && dy == 0 ? 0 : std::atan2(dy, dx);
}

double lever_angle(const SignalInfo& control, double value) {
  return lever_shut_rad + (lever_open_rad - lever_shut_rad) * share_of(control, value);
}

double lever_value(const SignalInfo& control, Point stem, Point pointer) {
  double angle = angle_around(stem, pointer);
  // Half way round on the far side (half past four) is where one end becomes the other.
  if (angle < -pi / 4) angle += 2 * pi;
  const double share = std::clamp((angle - lever_shut_rad) / (lever_open_rad - lever_shut_rad), 0.0, 1.0);
  return settled(control, control.min + share * span_of(control));
}

double wheel_angle(const SignalInfo& control, double value) { return share_of(control, value) * wheel_turns * 2 * pi; }

double wheel_value(const SignalInfo& control, double value, Point hub, Point from, Point to) {
  const double turned = std::remainder(angle_around(hub, to) - angle_around(hub, from), 2 * pi);
  return std::clamp(value + span_of(control) * turned / (wheel_turns * 2 * pi), control.min, control.max);
}

double dial_angle(const SignalInfo& control, double value) {
  return dial_low_rad - dial_sweep_rad * share_of(control, value);
}

double dial_value(const SignalInfo& control, Point centre, Point pointer) {
  double angle = angle_around(centre, pointer);
  if (angle < -pi / 2) angle += 2 * pi;  // from half past seven (5/4 pi) down to half past four (-1/4 pi)
  const double share = std::clamp((dial_low_rad - angle) / dial_sweep_rad, 0.0, 1.0);
  return settled(control, control.min + share * span_of(control));
}

double step_of(const SignalInfo& control, bool fine) {
  if (handle_of(control) == HandleKind::selector || handle_of(control) == HandleKind::toggle) return 1;
  if (control.unit == "K" && span_of(control) >= 10) return fine ? 0.2 : 1;
  return span_of(control) * (fine ? 0.01 : 0.05);
}

double stepped(const SignalInfo& control, double value, int clicks, bool fine) {
  return std::clamp(value + clicks * step_of(control, fine), control.min, control.max);
}

double settled(const SignalInfo& control, double value) {
  if (std::isnan(value)) return control.min;
  const HandleKind kind = handle_of(control);
  if (kind == HandleKind::selector || kind == HandleKind::toggle) value = std::round(value);
  if (kind == HandleKind::lever || kind == HandleKind::wheel) {
    if (share_of(control, value) <= snap_share) return control.min;
    if (share_of(control, value) >= 1 - snap_share) return control.max;
  }
  return std::clamp(value, control.min, control.max);
}

const Hands::Task* task_of(const Picture& picture, SignalId control, bool& waits) {
  waits = true;
  for (auto it = picture.waiting.rbegin(); it != picture.waiting.rend(); ++it)
    if (it->target == control) return &*it;
  waits = false;
  for (const Hands::Task& task : picture.doing)
    if (task.target == control && task.actor == Actor::hands && !task.release) return &task;
  return nullptr;
}

double heading_for(const Picture& picture, SignalId control, double now) {
  bool waits = false;
  const Hands::Task* task = task_of(picture, control, waits);
  return task ? task->asked : now;
}

bool only_busy_with(const Picture& picture, SignalId control) {
  bool busy = false;
  for (const auto* list : {&picture.doing, &picture.waiting}) {
    for (const Hands::Task& task : *list) {
      if (task.actor != Actor::hands || task.release) continue;
      if (!(task.target == control)) return false;
      busy = true;
    }
  }
  return busy;
}

std::optional<request::Move> drop_it(const SignalTable& signals, const Picture& picture) {
  if (!picture.frame) return std::nullopt;
  const auto is_busy = [&](SignalId id) {
    for (const Hands::Task& task : picture.doing)
      if (task.target == id) return true;
    return false;
  };
  // Best one of the unit at work, for the record's sake; never one that moves just now, whose value would be stale.
  std::string unit;
  if (!picture.doing.empty()) {
    const std::string& name = signals[picture.doing.front().target].name;
    unit = name.substr(0, name.find('.') + 1);
  }
  std::optional<SignalId> found;
  for (std::uint32_t i = 0; i < signals.size(); ++i) {
    const SignalInfo& row = signals.rows()[i];
    const bool at_no_cost = row.motion == Motion::ramp || (row.motion == Motion::at_once && row.effort_s == 0);
    if (row.kind != SignalKind::control || row.visibility != Visibility::skid || !at_no_cost || is_busy(SignalId{i}))
      continue;
    if (!found) found = SignalId{i};
    if (!unit.empty() && row.name.compare(0, unit.size(), unit) == 0) {
      found = SignalId{i};
      break;
    }
  }
  if (!found && !picture.doing.empty() && signals[picture.doing.front().target].motion == Motion::ramp)
    found = picture.doing.front().target;
  if (!found) return std::nullopt;
  return request::Move{.control = *found, .value = (*picture.frame)[*found], .urgent = true};
}

std::string duration_words(double seconds) {
  if (!(seconds >= 0)) return "";
  if (seconds < 1) return "a moment";
  if (seconds < 90) return fmt::format("{:.0f} s", seconds);
  const auto whole_s = static_cast<long>(std::lround(seconds));
  if (whole_s % 60 == 0 || seconds >= 600) return fmt::format("{} min", std::lround(seconds / 60));
  return fmt::format("{} min {} s", whole_s / 60, whole_s % 60);
}

}  // namespace wetrun
