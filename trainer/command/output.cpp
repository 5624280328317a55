#include "trainer/command/output.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <csignal>
#include <cstdio>
#include <filesystem>

#include "engine/core/process.h"
#include "engine/core/text.h"
#include "engine/core/whole_file.h"
#include "engine/file/limits.h"
#include "engine/step/simulation.h"

namespace wetrun {
namespace {

namespace fs = std::filesystem;

volatile std::sig_atomic_t signal_to_end = 0;

double clock_s() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

}  // namespace

void print_result(bool json, const std::string& human, const std::string& machine) {
  const std::string plain = plain_lines(human);
  const std::string& text = json ? machine : plain;
  if (json) std::fwrite(plain.data(), 1, plain.size(), stderr);
  const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size();
  if (!written || std::fflush(stdout) != 0)
    throw InputError("standard output cannot be written", "a file or pipe with room");
}

OutFolder::OutFolder(const std::string& folder) : folder_(folder) {
  if (folder_.empty()) return;
  const auto refuse = [&](const std::string& wrong) {
    return InputError("--out " + shown(folder_, 300) + ": " + wrong,  // a long one must not push out the reason
                      "a folder that can be made and written");
  };
  // Remember what has to be made, outermost last, so that a failed run can take it away again.
  on_signals_to_end([](int signal) { signal_to_end = signal; });
  std::error_code failed;
  for (fs::path at = fs::absolute(folder_, failed); !failed && !at.empty() && !fs::exists(at, failed);
       at = at.parent_path())
    made_.push_back(at.string());
  fs::create_directories(folder_, failed);
  if (failed) throw refuse(failed.message());
  if (!fs::is_directory(folder_, failed)) throw refuse("not a folder");
  require_own_input();
  try {
    WholeFile probe(path("probe"));  // removed again: it is never committed
    probe.write("x");
    probe.flush();
  } catch (const InputError& error) {
    throw refuse(error.wrong());
  }
}

void OutFolder::require_own_input() const {
  std::error_code ignored;
  if (fs::is_symlink(path("input"), ignored))
    throw InputError("--out " + folder_ + ": input is a link to somewhere else", "a folder without it");
}

OutFolder::~OutFolder() {
  if (!wanted() || finished_) return;
  history_.reset();
  std::error_code ignored;
  for (const std::string& folder : made_) fs::remove(folder, ignored);  // only if empty
}

void OutFolder::begin_history(const Simulation& simulation, double longest_s) {
  if (!wanted()) return;
  const SignalTable& table = simulation.plant().signals();
  std::vector<SignalId> all;
  for (std::uint32_t i = 0; i < table.size(); ++i) all.push_back(SignalId{i});
  constexpr double usual_s = 5;
  const double numbers = longest_s / usual_s * static_cast<double>(table.size());
  const double every_s = usual_s * std::max(1.0, std::ceil(numbers / static_cast<double>(limits::history_numbers)));
  const double steps = std::max(1.0, std::round(every_s / simulation.step_s()));
  history_ =
      std::make_unique<CsvRecorder>(path("history.csv"), table, std::move(all), static_cast<std::uint64_t>(steps));
  add_row(simulation);
}

void OutFolder::end_if_told() const {
  if (wanted() && signal_to_end != 0) throw Interruption{signal_to_end};
}

void OutFolder::add_row(const Simulation& simulation) {
  end_if_told();
  if (history_ && history_->wants(simulation.step_index())) history_->add(simulation.picture());
}

void OutFolder::finish(const std::vector<std::pair<std::string, std::string>>& texts, const Recording* recording) {
  if (!wanted()) return;
  end_if_told();
  std::vector<std::pair<std::string, std::string>> all = texts;
  if (recording) {
    std::error_code failed;
    require_own_input();
    if (fs::create_directory(path("input"), failed)) made_.insert(made_.begin(), path("input"));
    if (failed) throw InputError("--out " + folder_ + ": input: " + failed.message(), "a folder that can be written");
    for (const BundleFile& file : read_bundle(recording->input, ""))
      all.emplace_back("input/" + file.role + ".toml", file.text);
    all.emplace_back("recording.jsonl", recording_text(*recording));
  }
  std::vector<std::unique_ptr<WholeFile>> files;
  std::vector<WholeFile*> in_order;
  if (history_) in_order.push_back(&history_->finished());
  for (const auto& [name, text] : all) {
    files.push_back(std::make_unique<WholeFile>(path(name)));
    files.back()->write(name.ends_with(".txt") ? plain_lines(text) : text);
    in_order.push_back(files.back().get());
  }
  WholeFile::commit_all(in_order);
  finished_ = true;
}

Progress::Progress() : terminal_(isatty(STDERR_FILENO) == 1), start_s_(clock_s()), last_s_(start_s_) {}

Progress::~Progress() {
  if (shown_) std::fputs("\r\033[K", stderr);
}

void Progress::show(double share_done, const std::string& what) {
  if (!terminal_ || ++calls_ % 256 != 0) return;
  const double now_s = clock_s();
  if (now_s - start_s_ < 1 || now_s - last_s_ < 0.2) return;
  last_s_ = now_s;
  shown_ = true;
  std::fputs(fmt::format("\r\033[K{:3.0f} %  {}", 100 * share_done, shown(what)).c_str(), stderr);
  std::fflush(stderr);
}

}  // namespace wetrun
