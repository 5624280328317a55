// What the trainee is told before and while working: the job sheet, as plain text.
#pragma once
#include <memory>
#include <string>
#include <vector>

namespace wetrun {

struct Exercise;

struct SheetStep {
  std::string text;   // "Fill the tank with permeate to about 60 %"
  std::string hint;   // "" if there is none
  int hint_cost = 0;  // points it costs to read
};

struct Sheet {
  std::string exercise;  // name; "" in free practice
  std::string title, aim, brief;
  std::vector<std::string> cautions;
  std::vector<SheetStep> steps;
  double duration_s = 0;
  int pass_score = 0;
};

Sheet make_sheet(const Exercise& exercise);

}  // namespace wetrun
