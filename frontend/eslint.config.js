import tseslint from "typescript-eslint";

export default tseslint.config(
  { ignores: ["dist", "node_modules", "src/api/schema.d.ts", "test-results", "*.js", "bench/*.js"] },
  ...tseslint.configs.strictTypeChecked,
  {
    languageOptions: { parserOptions: { projectService: true } },
    rules: {
      // Numbers and booleans read well in a template; objects still may not.
      "@typescript-eslint/restrict-template-expressions": ["error", { allowNumber: true, allowBoolean: true }],
      // Event handlers may be async; what they await is caught inside.
      "@typescript-eslint/no-misused-promises": ["error", { checksVoidReturn: { attributes: false } }],
      "@typescript-eslint/no-confusing-void-expression": ["error", { ignoreArrowShorthand: true }],
      "no-restricted-properties": [
        "error",
        { property: "innerHTML", message: "User text is text." },
        { property: "dangerouslySetInnerHTML", message: "User text is text." },
      ],
    },
  },
);
