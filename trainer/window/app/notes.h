// Short notes over the screen: what is being waited for, what could not be done.
#pragma once
#include <string>

#include "trainer/window/panel/kit.h"

namespace wetrun::ui {

/// A small sheet in the middle with a bar.
void progress_note(Kit& kit, const Box& screen, const std::string& words, double share);
/// One line (wrapped if need be) near the top, with the warning shape.
void line_note(Kit& kit, const Box& screen, const std::string& words);

}  // namespace wetrun::ui
