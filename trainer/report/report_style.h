// The style sheet of reports: ink on warm paper, as in the trainer's window; white on print.
#pragma once
#include <string_view>

namespace wetrun::report {

std::string_view report_style();

}  // namespace wetrun::report
