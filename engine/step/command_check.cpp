#include "engine/step/command_check.h"

#include "engine/core/error.h"

namespace wetrun {

void require_possible(const Command& command, const SignalTable& signals) {
  WETRUN_REQUIRE(command.target.valid() && command.target.index() < signals.size());
  const SignalInfo& row = signals[command.target];
  if (row.kind == SignalKind::reading)
    throw InputError("'" + row.name + "' is a reading and cannot be set", "set a control or a fault");
  if (row.kind == SignalKind::fault && command.actor == Actor::hands)
    throw InputError("'" + row.name + "' is a fault, not a control", "faults are set by the desk or an exercise");
  const double least = row.motion == Motion::pour ? 0 : row.min;
  if (!(command.value >= least && command.value <= row.max) || !(command.over_s >= 0 && command.over_s <= 1e7))
    throw InputError("value " + std::to_string(command.value) + " of '" + row.name + "' is out of range",
                     "give " + std::to_string(least) + " to " + std::to_string(row.max) + " " + row.unit);
}

}  // namespace wetrun
