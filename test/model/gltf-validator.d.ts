/** The parts of the Khronos validator that are used here; the package ships no types. */
declare module 'gltf-validator' {
  interface Message {
    code: string;
    message: string;
    /** 0 error, 1 warning, 2 information, 3 hint */
    severity: 0 | 1 | 2 | 3;
    pointer?: string;
  }
  interface Report {
    issues: { numErrors: number; numWarnings: number; messages: Message[]; truncated: boolean };
    info: { totalTriangleCount: number };
  }
  const validator: {
    version(): string;
    validateBytes(
      data: Uint8Array,
      options?: { maxIssues?: number; writeTimestamp?: boolean },
    ): Promise<Report>;
  };
  export default validator;
}
