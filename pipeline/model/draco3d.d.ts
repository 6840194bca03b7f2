/** The two entry points used here; their modules are handed to glTF-Transform unopened. */
declare module 'draco3d' {
  const draco3d: {
    createEncoderModule(): Promise<unknown>;
    createDecoderModule(): Promise<unknown>;
  };
  export default draco3d;
}
