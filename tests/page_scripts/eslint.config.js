// The scripts stand in a page as they are, those of one page in one block. TypeScript knows the names that they have
// from each other and from the browser; which of their own nobody uses shows only where they are joined.
import js from "../../target/page_scripts/node_modules/@eslint/js/src/index.js";

export default [
  {
    files: ["**/*.js"],
    languageOptions: { ecmaVersion: 2022, sourceType: "script" },
    linterOptions: { reportUnusedDisableDirectives: "error" },
  },
  {
    files: ["src/**/*.js"],
    rules: {
      ...js.configs.recommended.rules,
      "no-undef": "off",
      "no-unused-vars": "off",
      "no-shadow": "error",
      "no-var": "error",
      "prefer-const": "error",
      eqeqeq: "error",
      complexity: ["error", 20],
      "max-depth": ["error", 4],
      "max-len": ["error", 140],
      "max-lines": ["error", 400],
      "max-lines-per-function": ["error", { max: 60, skipBlankLines: true, skipComments: true }],
      "max-params": ["error", 5],
    },
  },
  {
    files: ["target/page_scripts/joined/*.js"],
    rules: {
      "no-redeclare": "error",
      "no-unused-vars": ["error", { argsIgnorePattern: "^_" }],
    },
  },
];
