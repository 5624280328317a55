// Damaged exercise, rule and sequence files and recordings: an InputError in one line, or a sane result; never a crash.
#include <gtest/gtest.h>
#include <rapidcheck.h>

#include <filesystem>
#include <fstream>

#include "tests/support/exercise_rig.h"
#include "trainer/exercise/bundle.h"
#include "trainer/exercise/judge.h"
#include "trainer/exercise/runner.h"

namespace wetrun::test {
namespace {

const std::string good_sequence =
    "kind = \"sequence\"\nversion = 1\ntitle = \"a\"\nskid = \"bench\"\n"
    "[[phase]]\nname = \"open\"\ndo = [{set = \"valve.opening\", to = \"40 %\"}, {add = \"right.dose\", amount = \"2 "
    "mol\"}]\n"
    "until = \"left.level < 2 m for 5 s\"\nwithin = \"1 min\"\non_timeout = \"go_on\"\n"
    "again = {from = \"open\", while = \"left.level > 2 m\", max = 3}\n"
    "[[watch]]\nname = \"w\"\nwhen = \"right.level between 1 m and 2 m\"\ndo = [{press = \"button.press\"}]\n"
    "every = \"10 s\"\nthen = \"open\"\nmax_times = 4\n";

const std::string good_rules = rule("a", "kind = 'reach'\nthat = 'left.level < 2 m'\nwithin = '5 min'") +
                               rule("b", "kind = 'hold'\nthat = 'right.level < 2 m'\nshare = '80 %'\nprovided = 'a'") +
                               rule("c", "kind = 'budget'\nsignal = 'right.dose'\nlimit = '3 mol'") +
                               rule("d", "kind = 'order'\nfirst = 'valve.opening > 1 %'\nthen = 'left.level < 2.9 m'");

/// Changes some characters: swapped, removed, doubled or replaced by ones that mean something in TOML.
std::string damaged(std::string text) {
  static const std::string letters = "\"'[]{}=,.\n#%-019ae \\\x01\xff";
  const int changes = *rc::gen::inRange(1, 6);
  for (int i = 0; i < changes && !text.empty(); ++i) {
    const std::size_t place = *rc::gen::inRange<std::size_t>(0, text.size());
    const std::size_t length = *rc::gen::inRange<std::size_t>(1, 12);
    const std::string letter(1, letters[*rc::gen::inRange<std::size_t>(0, letters.size())]);
    switch (*rc::gen::inRange(0, 4)) {
      case 0:
        text.replace(place, 1, letter);
        break;
      case 1:
        text.erase(place, length);
        break;
      case 2:
        text.insert(place, text.substr(place, length));
        break;
      default:
        text.insert(place, letter);
        break;
    }
  }
  return text;
}

bool one_line(const InputError& error) {
  const std::string text = error.what();
  return text.find('\n') == std::string::npos && !error.wrong().empty();
}

TEST(Garbage, SequencesAreRefusedOrRun) {
  const Skid skid = small_skid();
  rc::check([&] {
    const std::string text = damaged(good_sequence);
    try {
      const auto sequence =
          std::make_shared<const Sequence>(read_sequence(Document::parse(text, "damaged.toml"), "damaged", skid));
      Simulation sim(skid.plant);
      Operator op(sequence);
      for (int k = 0; k < 200; ++k) {
        op.act(sim);
        sim.step();
      }
    } catch (const InputError& error) {
      RC_ASSERT(one_line(error));
    }
  });
}

TEST(Garbage, RulesAreRefusedOrJudged) {
  rc::check([&] {
    try {
      ExerciseRun run(exercise_of(damaged(good_rules)));
      while (!run.finished() && run.simulation().time_s() < 20) run.step();
    } catch (const InputError& error) {
      RC_ASSERT(one_line(error));
    }
  });
}

TEST(Garbage, SavedRunsAreRefusedOrGoOn) {
  const auto exercise = exercise_of(good_rules);
  const auto sequence =
      std::make_shared<const Sequence>(read_sequence(Document::parse(good_sequence, "s"), "s", exercise->skid));
  ExerciseRun saved(exercise, sequence);
  for (int k = 0; k < 60; ++k) saved.step();
  const std::string text = saved.save();
  rc::check([&] {
    ExerciseRun run(exercise, sequence);
    try {
      run.restore(damaged(text), "damaged");
      for (int k = 0; k < 5; ++k) run.step();
    } catch (const InputError& error) {
      RC_ASSERT(one_line(error));
    } catch (const NumericsError&) {
      // A number that was changed to nonsense may have no solution: that is a status, not a crash.
    }
  });
}

TEST(Garbage, RecordingsAreRefusedOrReplayed) {
  const std::string file = (std::filesystem::path(::testing::TempDir()) / "wetrun_garbage.jsonl").string();
  Recording recording;
  recording.kind = "clean";
  recording.input = bundle_text({{"skid", "bench", "kind = \"skid\"\nversion = 1\n"}});
  recording.marks = {{0, 1}, {120, 2}};
  save_recording(recording, file);
  std::stringstream good;
  good << std::ifstream(file).rdbuf();
  rc::check([&] {
    std::ofstream(file, std::ios::binary) << damaged(good.str());
    try {
      const Recording read = load_recording(file);
      Replay replay(read, file);
      RC_FAIL("a skid without units was built");
    } catch (const InputError& error) {
      RC_ASSERT(one_line(error));
    }
  });
  std::filesystem::remove(file);
}

}  // namespace
}  // namespace wetrun::test
