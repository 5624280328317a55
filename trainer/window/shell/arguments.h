// The command line of wetrun-trainer.
#pragma once
#include <optional>
#include <string>

#include "trainer/window/view/request.h"

namespace wetrun::ui {

struct Arguments {
  std::optional<Request> first;  // what to open at once; none: the start screen
  std::string tour;              // folder for pictures; "" : no tour
  std::string state, boxes;
  unsigned width = 0, height = 0;  // 0: as the screen allows
  double pace = 1;
  bool full_screen = false, silent = false;
};

/// Empty if help or the version was asked for, and printed. Throws InputError.
std::optional<Arguments> read_arguments(int argc, char** argv);

}  // namespace wetrun::ui
