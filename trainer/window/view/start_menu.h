// What the start screen offers. Broken files are listed with what is wrong with them, and do not hide the others.
#pragma once
#include <string>
#include <vector>

#include "trainer/window/view/picture.h"

namespace wetrun {

struct StartMenu {
  struct Demonstration {
    std::string sequence, because;
    bool passes = true;
  };
  struct Exercise {
    std::string name, title, aim, skid;
    double duration_s = 0;
    std::vector<Demonstration> demonstrations;
    std::string broken;  // one line; "" if all is well
  };
  struct Skid {
    std::string name, title, broken;
  };
  struct Saved {
    std::string file, title;
    Mode mode = Mode::exercise;
    double time_s = 0;  // run time reached
    std::string when;   // "today 14:05"
    std::string broken;
  };
  struct Recorded {
    std::string file, title, when;
  };
  std::vector<Exercise> exercises;  // in the order they are to be taken
  std::vector<Skid> skids;
  std::vector<Saved> saved;          // unfinished, newest first
  std::vector<Recorded> recordings;  // newest first
};

}  // namespace wetrun
