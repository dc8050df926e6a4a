// A small face on GLPK: a linear program built column by column, row by row.
#pragma once

#include <glpk.h>

#include <limits>
#include <memory>
#include <optional>
#include <stdexcept>
#include <vector>

namespace slowdawn::testing {

class LinearProgram {
 public:
  struct Term {
    int column;
    double coefficient;
  };

  LinearProgram() : program_(glp_create_prob(), glp_delete_prob) {
    glp_set_obj_dir(program_.get(), GLP_MAX);
  }

  /// Adds a variable from 0 to `highest` (none: without end).
  int add_variable(std::optional<double> highest = {}, double worth = 0.0) {
    const int column = glp_add_cols(program_.get(), 1);
    if (highest) {
      glp_set_col_bnds(program_.get(), column, GLP_DB, 0.0, *highest);
    } else {
      glp_set_col_bnds(program_.get(), column, GLP_LO, 0.0, 0.0);
    }
    glp_set_obj_coef(program_.get(), column, worth);
    return column;
  }

  void fix(int column, double value) {
    glp_set_col_bnds(program_.get(), column, GLP_FX, value, value);
  }

  /// The sum of the terms is at most 0.
  void at_most_zero(const std::vector<Term>& terms) { add_row(terms, GLP_UP); }
  /// The sum of the terms is 0.
  void zero(const std::vector<Term>& terms) { add_row(terms, GLP_FX); }

  /// Throws if there is no optimum.
  void maximise() {
    glp_smcp control;
    glp_init_smcp(&control);
    control.msg_lev = GLP_MSG_OFF;
    // The finest that GLPK takes seriously; its default is 1e-7.
    control.tol_bnd = 1e-10;
    control.tol_dj = 1e-10;
    const bool has_run = glp_simplex(program_.get(), &control) == 0;
    if (!has_run || glp_get_status(program_.get()) != GLP_OPT) {
      throw std::runtime_error("the linear program has no optimum");
    }
  }

  double objective() const { return glp_get_obj_val(program_.get()); }
  double value(int column) const { return glp_get_col_prim(program_.get(), column); }

 private:
  void add_row(const std::vector<Term>& terms, int kind) {
    const int row = glp_add_rows(program_.get(), 1);
    glp_set_row_bnds(program_.get(), row, kind, 0.0, 0.0);
    // GLPK counts from 1.
    std::vector<int> columns{0};
    std::vector<double> coefficients{0.0};
    for (const Term& term : terms) {
      columns.push_back(term.column);
      coefficients.push_back(term.coefficient);
    }
    glp_set_mat_row(program_.get(), row, static_cast<int>(terms.size()), columns.data(),
                    coefficients.data());
  }

  std::unique_ptr<glp_prob, void (*)(glp_prob*)> program_;
};

}  // namespace slowdawn::testing
