declare module "*.formula" {
  const text: string;
  export default text;
}
