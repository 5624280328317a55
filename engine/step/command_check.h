// Which commands there can be, wherever they come from: a person, a sequence, a recording, a snapshot.
#pragma once
#include "engine/step/hands.h"

namespace wetrun {

/// Throws InputError for a command that cannot be: of a reading, a fault by hands, a value or a time out of range.
void require_possible(const Command& command, const SignalTable& signals);

}  // namespace wetrun
