// The window's program, killed (SIGKILL) at random moments and at the very moments of saving, while somebody works it, watches
// it, takes a session up again or brings one to its end. What must hold after each:
//
//   At most one second is lost, of real time: what the screen showed, and what hands did, a second or more before the kill is
//   in the save. At a pace of 60 that second is up to a minute of the plant's.
//   What was saved goes on with the same state: its past is run again to the same digest, and `wetrun replay` agrees.
//   Everything else in the state folder is as it was, to the byte.
//
//   WETRUN_KILLS=100 build-release/tests/chaos_trainer_kills_test       as many kills as wanted; a few without it
#include <gtest/gtest.h>

#include <algorithm>
#include <atomic>
#include <csignal>
#include <cstdlib>
#include <map>

#include "engine/core/hash.h"
#include "engine/core/random.h"
#include "tests/support/folder_watch.h"
#include "tests/support/trainer_driver.h"
#include "trainer/exercise/debrief.h"
#include "trainer/window/session/session.h"
#include "trainer/window/session/store.h"

namespace wetrun {
namespace {

namespace fs = std::filesystem;
using Clock = std::chrono::steady_clock;
using Files = std::map<std::string, std::string>;

int kills(int without) {
  const char* words = std::getenv("WETRUN_KILLS");
  return words ? std::max(1, std::atoi(words)) : without;
}

double seconds(Clock::duration duration) { return std::chrono::duration<double>(duration).count(); }

/// "7:05" or "1:07:05"; < 0 for anything else.
double clock_seconds(const std::string& words) {
  double total = 0;
  std::istringstream in(words);
  int parts = 0;
  for (std::string part; std::getline(in, part, ':'); ++parts) {
    if (part.empty() || part.find_first_not_of("0123456789") != std::string::npos) return -1;
    total = 60 * total + std::atof(part.c_str());
  }
  return parts >= 2 ? total : -1;
}

template <class Condition>
bool soon(Condition so, double deadline_s = 60) {
  const auto end = Clock::now() + std::chrono::duration<double>(deadline_s * patience);
  while (!so()) {
    if (Clock::now() > end) return false;
    std::this_thread::sleep_for(std::chrono::milliseconds(2));
  }
  return true;
}

Library library() { return Library(std::string(WETRUN_SOURCE_DIR) + "/scenarios"); }

SessionOptions at_rest(const std::string& file = "") {
  SessionOptions options;
  options.autosave = file;
  options.pace = 1e5;
  options.unlimited_pace = true;
  return options;
}

/// Watches the state folder on a thread of its own; kills the program when told to, or right after some event of it.
class Killer {
public:
  explicit Killer(const std::string& state) {
    for (const char* each : {"/sessions", "/recordings"}) watch_.add(state + each);
  }
  ~Killer() { join(); }

  /// After so long, or, with `event`, when it has come the nth time and the delay has passed (at the latest after `after_s`).
  void hunt(pid_t pid, double after_s, std::uint32_t event, const std::string& ending, int nth, int delay_us) {
    const auto end = Clock::now() + std::chrono::duration<double>(after_s);
    thread_ = std::thread([this, pid, end, event, ending, nth, delay_us] {
      int left = nth;
      while (left > 0 && Clock::now() < end)
        for (const FolderWatch::Event& each : look()) left -= (each.what & event) != 0 && each.ends_with(ending);
      if (left <= 0) std::this_thread::sleep_for(std::chrono::microseconds(delay_us));
      killed_at_ = Clock::now();
      ::kill(pid, SIGKILL);
      done_ = true;
    });
  }
  bool done() const { return done_; }
  void join() {
    if (thread_.joinable()) thread_.join();
  }
  Clock::time_point killed_at() const { return killed_at_; }
  /// When the last save that was finished in time was begun: what it holds is of just before. Call after join().
  std::optional<Clock::time_point> last_save() {
    while (!look().empty()) {
    }
    return last_save_;
  }

private:
  std::vector<FolderWatch::Event> look() {
    std::vector<FolderWatch::Event> events = watch_.events(5);
    for (const FolderWatch::Event& each : events) {
      if ((each.what & IN_OPEN) != 0 && each.ends_with(".session.part")) begun_ = each.at;
      if ((each.what & IN_MOVED_TO) != 0 && each.ends_with(".session")) last_save_ = begun_;
    }
    return events;
  }
  FolderWatch watch_;
  std::atomic<bool> done_ = false;
  Clock::time_point killed_at_;
  std::optional<Clock::time_point> begun_, last_save_;
  std::thread thread_;
};

class TrainerKills : public ::testing::Test {
protected:
  std::string sessions() const { return trainer_.state() + "/sessions"; }
  std::string recordings() const { return trainer_.state() + "/recordings"; }

  Files files_of(const std::string& folder) const {
    Files files;
    for (const auto& entry : fs::directory_iterator(folder))
      if (entry.is_regular_file()) files[entry.path().string()] = read_text(entry.path().string());
    return files;
  }

  /// What other sessions have left in the folder before: it must stay as it is.
  void furnish() {
    const Store store(trainer_.state());
    Preferences mine;
    mine.pressure = "psi";
    mine.walked = true;
    store.save_preferences(mine);
    const LoadedExercise loaded = load_exercise(library(), "first_water", "first_water_hasty");
    for (const double until_s : {90.0, 1300.0}) {
      const std::string file = sessions() + (until_s < 1000 ? "/other.session" : "/nearly_done.session");
      Session session(loaded.exercise, loaded.sequence, at_rest(file));
      session.run_to(until_s);
      ASSERT_TRUE(soon([&] { return session.picture()->paused && session.picture()->frame->time_s >= until_s; }));
      if (until_s < 1000) store.keep_recording(session.recording(), "other");
    }
    // One that was nearly done, to be brought to its end again and again. Kept elsewhere.
    fs::rename(sessions() + "/nearly_done.session", trainer_.state() + "/nearly_done");
    for (const std::string& folder : {sessions(), recordings(), trainer_.state()})
      for (const auto& [file, text] : files_of(folder)) others_[file] = text;
  }

  void expect_others_untouched() const {
    for (const auto& [file, text] : others_) EXPECT_EQ(read_text(file), text) << file;
  }

  /// Digest of a recording by the program `wetrun`; "" if it is not reproduced.
  std::string replayed(const std::string& recording) const {
    const TestFolder folder;
    Child replay({std::string(WETRUN_BINARY_DIR) + "/trainer/wetrun", "replay", recording}, {}, folder.file("out"), "");
    const std::optional<int> code = replay.wait(120);
    const std::string words = read_text(folder.file("out")), before = "Reproduced: state digest ";
    const std::size_t at = words.find(before);
    return code == 0 && at != std::string::npos ? words.substr(at + before.size(), 16) : "";
  }

  /// Opens it as the program would: the past is run again and compared with the state that was saved.
  void expect_resumes(const std::string& file, std::size_t least_commands) const {
    try {
      const TestFolder folder;
      fs::copy_file(file, folder.file("a.session"));
      const auto session = Session::resume(folder.file("a.session"), at_rest(folder.file("a.session")));
      ASSERT_TRUE(soon([&] { return session->ready_share() >= 1; }));
      EXPECT_EQ(session->picture()->trouble, "");
      const Recording recording = session->recording();
      EXPECT_GE(recording.commands.size(), least_commands) << "what hands did more than a second ago is lost";
      save_recording(recording, folder.file("a.jsonl"));
      EXPECT_EQ(replayed(folder.file("a.jsonl")), digest_text(session->digest()));
    } catch (const InputError& error) {
      ADD_FAILURE() << error.what();
    }
  }

  std::vector<std::string> new_files(const std::string& folder, const std::string& ending) const {
    std::vector<std::string> found;
    for (const auto& [file, text] : files_of(folder))
      if (file.ends_with(ending) && !others_.contains(file)) found.push_back(file);
    return found;
  }

  TrainerDriver trainer_;
  Files others_;
};

TEST_F(TrainerKills, AtMostASecondIsLostAndTheRestGoesOn) {
  ASSERT_NO_FATAL_FAILURE(furnish());
  Random random(200);
  const int wanted = kills(4);
  std::vector<double> lost_s;
  std::map<std::string, int> count;
  std::string carry;  // a session to be taken up again in the next round
  for (int round = 0; round < wanted; ++round) {
    SCOPED_TRACE("round " + std::to_string(round));
    const char* paces[] = {"1", "5", "10", "60", "60"};
    const std::string pace = paces[random.below(5)];
    const std::uint64_t kind = carry.empty() ? random.below(4) : 4;
    std::vector<std::string> words = {"--pace", pace};
    const char* kinds[] = {"exercise", "practice", "watching", "ending", "taken up again"};
    ++count[kinds[kind]];
    if (kind == 0) words.push_back("first_water");
    if (kind == 1) words.insert(words.end(), {"--practice", "ostrey"});
    if (kind == 2) words.insert(words.end(), {"--watch", "acid_clean_array_1"});
    if (kind == 3) {
      carry = sessions() + "/ending.session";
      fs::copy_file(trainer_.state() + "/nearly_done", carry);
    }
    if (kind >= 3) words.insert(words.end(), {"--resume", carry});
    const double before_s = kind >= 3 ? read_saved(carry).time_s : 0;

    trainer_.start(words);
    ASSERT_TRUE(trainer_.program().running()) << trainer_.errors();
    ASSERT_TRUE(trainer_.wait_for("time/clock", 60));
    if (kind >= 3) {
      const auto shows = [&] { return clock_seconds(trainer_.words("time/clock")) >= std::floor(before_s); };
      EXPECT_TRUE(trainer_.wait(shows, 60)) << trainer_.words("time/clock");
    }
    const bool at_a_save = random.below(2) == 0;
    Killer killer(trainer_.state());
    const std::uint32_t moments[] = {IN_OPEN, IN_MODIFY, IN_CLOSE_WRITE, IN_MOVED_TO};
    const std::uint32_t moment = moments[random.below(4)];
    std::string ending = moment == IN_MOVED_TO ? ".session" : ".session.part";
    int nth = 1 + static_cast<int>(random.below(4));
    if (kind == 3 && at_a_save && random.below(3) > 0) {
      ending = moment == IN_MOVED_TO ? ".jsonl" : ".jsonl.part";  // amid the keeping of its recording
      nth = 1;
    }
    const double after_s = at_a_save ? 6 : 0.2 + 4 * random.uniform();
    killer.hunt(trainer_.program().pid(), after_s, at_a_save ? moment : 0, ending, at_a_save ? nth : 1 << 30,
                static_cast<int>(random.below(1500)));
    trainer_.key("space");
    std::vector<std::pair<Clock::time_point, double>> shown;
    std::vector<Clock::time_point> turned;
    std::optional<Clock::time_point> ran;
    for (int beat = 0; !killer.done(); ++beat) {
      const auto now = Clock::now();
      const double clock_s = clock_seconds(trainer_.words("time/clock"));
      if (clock_s >= 0 && fs::exists(trainer_.boxes_file())) shown.emplace_back(now, clock_s);
      if (!ran && !shown.empty() && shown.back().second > before_s) ran = now;
      if (killer.done()) break;
      const bool can_turn = kind == 0 || kind == 1;
      if (can_turn && beat % 5 == 2) {
        if (const auto valve = trainer_.box("skid/fill_valve")) {
          trainer_.move_to(valve->x(), valve->y());
          trainer_.right_click_here();
          turned.push_back(Clock::now());
        }
      } else if (beat % 5 == 4) {
        trainer_.key(std::to_string(2 + random.below(5)));  // another pace
      } else {
        trainer_.move_to(20 + 900 * random.uniform(), 100 + 600 * random.uniform());
      }
    }
    killer.join();
    // Mesa has a thread of the lowest priority, which on a busy machine must wait for its turn even to die.
    ASSERT_EQ(trainer_.program().wait(300), -SIGKILL) << trainer_.errors();
    const auto killed_at = killer.killed_at();
    // Sanitizers make a program slower, not more forgetful: there a second is as much longer.
    const auto a_second_before =
        killed_at - std::chrono::duration_cast<Clock::duration>(std::chrono::duration<double>(patience));

    double had_s = before_s, showed_s = before_s;
    for (const auto& [at, clock_s] : shown) {
      showed_s = std::max(showed_s, clock_s);
      if (at <= a_second_before) had_s = std::max(had_s, clock_s);
    }
    const auto had_turned = static_cast<std::size_t>(
        std::count_if(turned.begin(), turned.end(), [&](auto at) { return at <= a_second_before; }));

    const std::vector<std::string> saved = new_files(sessions(), ".session"), kept = new_files(recordings(), ".jsonl");
    for (const std::string& file : kept) {
      EXPECT_FALSE(replayed(file).empty()) << file << " is not whole";
      ++count["recordings kept"];
    }
    if (saved.empty()) {
      if (kept.empty()) {
        EXPECT_EQ(had_s, before_s) << "nothing is saved of what the screen showed a second before";
        EXPECT_EQ(had_turned, 0u);
        if (showed_s > before_s && ran) lost_s.push_back(seconds(killed_at - *ran));
      }
      carry.clear();
    } else {
      ASSERT_EQ(saved.size(), 1u);
      const SavedSession now = read_saved(saved[0]);
      EXPECT_GE(now.time_s, std::max(before_s, had_s)) << "more than a second is lost, at pace " << pace;
      expect_resumes(saved[0], had_turned);
      ++count["resumed"];
      const std::optional<Clock::time_point> save = killer.last_save();
      if (now.finished)
        lost_s.push_back(0);
      else if (save)
        lost_s.push_back(seconds(killed_at - *save));
      else if (ran)
        lost_s.push_back(seconds(killed_at - *ran));
      carry = saved[0];
    }
    // The folder as the next program finds it: all others whole and offered, nothing that was begun and not finished.
    expect_others_untouched();
    const StartMenu menu = Store(trainer_.state()).menu(library());
    EXPECT_EQ(menu.saved.size(), 1 + saved.size());
    for (const StartMenu::Saved& each : menu.saved) EXPECT_EQ(each.broken, "") << each.file;
    EXPECT_EQ(menu.recordings.size(), 1 + kept.size());
    EXPECT_EQ(new_files(recordings(), ".part").size(), 0u);
    EXPECT_EQ(new_files(sessions(), ".part").size() + new_files(sessions(), ".lock").size(), 0u);
    for (const std::string& file : kept) fs::remove(file);
    if (!carry.empty() && (kind == 3 || random.below(2) == 0)) {
      Store(trainer_.state()).discard(carry);
      EXPECT_EQ(files_of(sessions()).size(), 1u) << "nothing is left lying about";
      carry.clear();
    }
    if (HasFailure()) break;
  }
  std::sort(lost_s.begin(), lost_s.end());
  std::string kinds;
  for (const auto& [kind, n] : count) kinds += "; " + kind + " " + std::to_string(n);
  if (!lost_s.empty())
    std::printf("%d kills%s\nseconds of real time lost: median %.2f, 90 %% below %.2f, most %.2f\n", wanted,
                kinds.c_str(), lost_s[lost_s.size() / 2], lost_s[lost_s.size() * 9 / 10], lost_s.back());
}

}  // namespace
}  // namespace wetrun
