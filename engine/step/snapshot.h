// A snapshot on disk: JSON, every number by name with unit versions, doubles exact. Written to a temporary name first.
#pragma once
#include <string>

#include "engine/step/simulation.h"

namespace wetrun {

std::string snapshot_text(const Simulation& simulation);
/// Throws InputError naming the first number that is missing, unknown or of another version.
void restore_snapshot(Simulation& simulation, const std::string& text, const std::string& name);

}  // namespace wetrun
